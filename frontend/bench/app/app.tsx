// Which screen is drawn.

import { BenchScreen } from "../screens/bench";
import { BenchesScreen } from "../screens/benches";
import { FaultBar } from "../screens/parts";
import { PlanScreen } from "../screens/plan";
import { DeskContext, useDesk, type Desk } from "./desk";
import { Other } from "./later";
import { place } from "./nav";

function Screen() {
  const desk = useDesk();
  const { screen, id, also } = place.value;
  if (!desk.me.value || screen === "pair") return <Other it="PairScreen" />;
  switch (screen) {
    case "bench":
      return desk.walk.state.value?.bench === id ? <BenchScreen key={id} id={id} /> : <BenchesScreen />;
    case "tree":
      return <Other it="TreeScreen" key={id} id={id} />;
    case "walk":
      return <Other it="WalkScreen" key={id} run={id} bench={also} />;
    case "plan":
      return <PlanScreen key={id} id={id} />;
    case "records":
      return <Other it="RecordsScreen" />;
    case "phone":
      return <Other it="PhoneScreen" />;
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
