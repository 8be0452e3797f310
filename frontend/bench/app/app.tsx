// Which screen is drawn.

import { BenchScreen } from "../screens/bench";
import { BenchesScreen } from "../screens/benches";
import { PairScreen } from "../screens/pair";
import { FaultBar } from "../screens/parts";
import { PhoneScreen } from "../screens/phone";
import { PlanScreen } from "../screens/plan";
import { RecordsScreen } from "../screens/records";
import { TreeScreen } from "../screens/tree";
import { WalkScreen } from "../screens/walk";
import { DeskContext, useDesk, type Desk } from "./desk";
import { place } from "./nav";

function Screen() {
  const desk = useDesk();
  const { screen, id, also } = place.value;
  if (!desk.me.value || screen === "pair") return <PairScreen />;
  switch (screen) {
    case "bench":
      return desk.walk.state.value?.bench === id ? <BenchScreen id={id} /> : <BenchesScreen />;
    case "tree":
      return <TreeScreen key={id} id={id} />;
    case "walk":
      return <WalkScreen key={id} run={id} bench={also} />;
    case "plan":
      return <PlanScreen key={id} id={id} />;
    case "records":
      return <RecordsScreen />;
    case "phone":
      return <PhoneScreen />;
    default:
      return <BenchesScreen />;
  }
}

export function App({ desk }: { desk: Desk }) {
  return (
    <DeskContext.Provider value={desk}>
      <Screen />
      <FaultBar />
    </DeskContext.Provider>
  );
}
