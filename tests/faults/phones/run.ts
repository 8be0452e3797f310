// One run: the plan's steps, then quiet until every phone and the shed agree, then what each of them holds.

import type { Draft, RecordOut } from "../../../frontend/bench/model/types";
import { base64, handoverText, type PhotoInFile } from "../../../frontend/bench/screens/logic/handoverFile";
import type { MishoStore } from "../../../frontend/bench/store";
import type { Tables } from "../../../frontend/bench/store/tables";
import { ask } from "./asking";
import type { Life } from "./life";
import { Phone, rowsOf } from "./phone";
import type { Action, Plan } from "./plan";
import type { Way } from "./proxy";

/** An action that takes longer hangs [ms]. */
const PATIENCE = 30_000;
/** Rounds of all phones in which they must come to rest. */
const ROUNDS = 8;

type On<D extends Action["do"]> = Extract<Action, { do: D }>;
type Recording = On<"capture"> | On<"undo"> | On<"correct">;

/** In the plan the picture of a draft is text. */
function withFile(draft: Draft): Draft {
  if (draft.kind !== "photo") return draft;
  const bytes = Buffer.from(String(draft.file), "base64");
  return { ...draft, file: bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length) };
}

async function photosOf(db: Tables): Promise<PhotoInFile[]> {
  const found: PhotoInFile[] = [];
  for (const { id, sha256, bytes } of await db.photos.toArray()) {
    const row = await db.photoData.get(id);
    if (row) found.push({ photo: id, sha256, bytes, data: base64(row.data) });
  }
  return found;
}

export class Run {
  private readonly phones: Phone[];
  private readonly stuck: string[] = [];

  constructor(private readonly plan: Plan, private readonly way: Way) {
    this.phones = Array.from({ length: plan.phones }, (_, n) => new Phone(`${plan.seed}-${n}`, way.port, plan.broken));
    way.page = plan.page;
    way.deviceOf = async (name) => this.phones.find((phone) => phone.name === name)?.device();
  }

  async play(): Promise<object> {
    for (const step of this.plan.steps) {
      await Promise.all(step.map((action) => this.patiently(action.do, this.act(action))));
    }
    await this.way.clear();
    await ask("up");
    await this.patiently("quiet", this.quiet());
    const held = [];
    for (const phone of this.phones) held.push(await this.holds(phone));
    for (const phone of this.phones) phone.end();
    await this.way.still();
    return { phones: held, stuck: this.stuck };
  }

  private async patiently(what: string, work: Promise<void>): Promise<void> {
    let timer: NodeJS.Timeout | undefined;
    const late = new Promise<void>((resolve) => {
      timer = setTimeout(() => {
        this.stuck.push(`${what} hangs`);
        resolve();
      }, PATIENCE);
    });
    await Promise.race([work, late]).finally(() => clearTimeout(timer));
  }

  private async act(action: Action): Promise<void> {
    const phone = this.phones[action.phone]!;
    if (action.wire) this.way.arm(phone.name, action.wire);
    const { upset } = action;
    let armed: Life | undefined;
    const arm = upset && ((life: Life) => (armed = life).arm(upset.what, upset.after));
    await this.one(action, phone, arm);
    if (armed && !armed.disarm()) this.way.strike(upset!.what);
  }

  private async one(action: Action, phone: Phone, arm?: (life: Life) => void): Promise<void> {
    switch (action.do) {
      case "pair":
        return this.pair(phone, arm);
      case "capture":
      case "undo":
      case "correct":
        return this.capture(action, phone, arm);
      case "sync":
        await this.sync(phone, arm);
        return;
      case "two_tabs":
        return this.twoTabs(action, phone, arm);
      case "open":
        phone.kill();
        await phone.at(arm);
        return;
      case "update":
        await phone.update();
        await phone.at(arm);
        return;
      case "clock":
        return phone.setClock(action.offset, action.backwards);
      case "revoke":
        phone.out = action.forever;
        await ask("revoke", { device: await phone.device() });
        return;
      case "backup":
      case "restore":
        await ask(action.do);
        return;
      case "edit":
        await ask("edit", { n: action.n });
    }
  }

  private async pair(phone: Phone, arm?: (life: Life) => void): Promise<void> {
    const tab = await phone.at(arm);
    if (!tab) return;
    const { code } = await ask("code");
    tab.life.enter();
    await Promise.race([tab.sync.pair(String(code), phone.name), tab.life.death]);
    // Pairing begins a round of its own.
    if (!tab.life.dead) await Promise.race([tab.sync.syncNow(), tab.life.death]);
  }

  private async sync(phone: Phone, arm?: (life: Life) => void): Promise<string> {
    if (arm) await phone.at(arm);
    const outcome = await phone.sync();
    return outcome === "dead" ? outcome : outcome.state;
  }

  /** Try, and try again as a grower does who reads "not saved"; what is said in the end is noted. */
  private async capture(action: Recording, phone: Phone, arm?: (life: Life) => void): Promise<void> {
    phone.said.set(action.key, "maybe");
    for (let tries = 0; tries < 4; tries += 1) {
      const aside = action.do === "capture" && action.aside;
      const tab = await (aside ? phone.open(tries ? undefined : arm) : phone.at(tries ? undefined : arm));
      if (!tab) return;
      try {
        const records = await Promise.race([this.record(action, tab.store, phone), tab.life.death]);
        if (records === "dead") return;
        for (const record of records) phone.saved.set(record.id, record);
        phone.said.set(action.key, "saved");
        return;
      } catch {
        continue;
      } finally {
        if (aside) tab.life.kill();
      }
    }
    this.stuck.push(`${action.do} failed four times`);
  }

  private async record(action: Recording, store: MishoStore, phone: Phone): Promise<RecordOut[]> {
    if (action.do === "capture") return store.capture(action.drafts.map(withFile));
    const mine = [...phone.saved.values()].filter((record) => record.kind === (action.do === "undo" ? "note" : "caliper"));
    const picked = mine[action.pick % mine.length];
    if (!picked) return [];
    return [action.do === "undo" ? await store.undo(picked.id) : await store.correct(picked.id, { mm: action.mm })];
  }

  private async twoTabs(action: On<"two_tabs">, phone: Phone, arm?: (life: Life) => void): Promise<void> {
    const first = await phone.at(arm);
    const second = await phone.open();
    const rounds: Promise<unknown>[] = [];
    for (const tab of [first, second]) {
      if (!tab) continue;
      const sync = action.locks ? tab.sync : phone.withoutLocks(tab);
      tab.life.enter();
      rounds.push(Promise.race([sync.syncNow(), tab.life.death]));
    }
    await Promise.all(rounds);
    second?.life.kill();
  }

  // ---- when all is well again ----

  private async quiet(): Promise<void> {
    for (const phone of this.phones.filter((one) => one.out)) await this.handOver(phone);
    let now = "";
    for (let round = 0; round < ROUNDS; round += 1) {
      await ask("up");
      const outcomes: string[] = [];
      for (const phone of this.phones.filter((one) => !one.out)) outcomes.push(await this.settle(phone));
      const { seq } = await ask("settle");
      // Nothing handed over, and all have fetched up to the shed's very last number.
      if (outcomes.every((outcome) => outcome === `done 0 ${seq}`)) return;
      now = JSON.stringify([outcomes, seq]);
    }
    this.stuck.push(`no rest: ${now}`);
  }

  private async settle(phone: Phone): Promise<string> {
    const outcome = await phone.sync();
    if (outcome === "dead") return outcome;
    if (outcome.state === "needs_pairing") await this.pair(phone);
    if (outcome.state === "failed") return `failed ${outcome.code} ${outcome.message}`;
    if (outcome.state !== "done") return outcome.state;
    const at = await phone.tab?.store.cursor();
    return `done ${outcome.pushed} ${at?.epoch}:${at?.seq}`;
  }

  private async handOver(phone: Phone): Promise<void> {
    const tab = await phone.at();
    if (!tab) return;
    const held = await phone.look(rowsOf);
    const me = await tab.store.me();
    const photos = await phone.look(photosOf);
    await ask("hand_over", { text: await handoverText(me, await tab.store.outbox(), photos) });
    // What was acknowledged before stays with the shed, unless a restore took it: then the file has it too.
    const kept = held.filter((row) => row.state !== "waiting").map((row) => row.record);
    await ask("hand_over", { text: await handoverText(me, kept) });
  }

  private async holds(phone: Phone): Promise<object> {
    return phone.look(async (db) => {
      const rows = await rowsOf(db);
      const mirror = {
        tree: (await db.trees.toArray()).map(({ id, on: _on, owes: _owes, tagKey: _key, told, ...data }) => {
          return [id, told ? { ...data, st: JSON.parse(told) as unknown } : data];
        }),
        bench: (await db.benches.toArray()).map(({ id, ...data }) => [id, data]),
        site: (await db.sites.toArray()).map(({ id, ...data }) => [id, data]),
        lot: (await db.lots.toArray()).map(({ id, ...data }) => [id, data]),
        species: (await db.species.toArray()).map(({ slug, ...data }) => [slug, data]),
        fate: (await db.fates.toArray()).map(({ id, ...data }) => [id, data]),
      };
      return {
        name: phone.name,
        out: phone.out,
        mirror,
        records: rows.map(({ id, state, unseen }) => ({ id, state, unseen })),
        photos: (await db.photos.toArray()).map(({ id, state }) => [id, state]),
        local: await db.local.count(),
        saved: [...phone.saved.values()],
        said: Object.fromEntries(phone.said),
      };
    });
  }
}
