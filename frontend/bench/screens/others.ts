// All that a walk does not need to begin: loaded after the bench is drawn, in one file.

export { More } from "./more";
export { PairScreen } from "./pair";
export { PhoneScreen } from "./phone";
export { RecordsScreen } from "./records";
export { TreeScreen } from "./tree";
export { WalkScreen } from "./walk";
