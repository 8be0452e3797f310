// Fetching: page by page, each with its cursor; and starting over when the shed was restored from a backup.

import type { Cursor, FeedRow, MishoStore } from "../store";
import { t } from "../words";
import type { Line } from "./line";
import { Fault, type PullAnswer, type Wire } from "./wire";

/** The most ids in one question to the shed. */
export const MOST_IDS = 2000;

/** Fetch all that is new; gives the last page's answer. */
export async function pullAll(line: Line, progress: (rows: number) => void): Promise<PullAnswer> {
  const { store, wire, breath } = line;
  let at: Cursor | undefined = await store.cursor();
  let rows = 0;
  for (;;) {
    let page: PullAnswer;
    try {
      page = await wire.pull(since(at));
    } catch (error) {
      if (error instanceof Fault && error.status === 409 && at) return startOver(line, progress);
      throw error;
    }
    const cursor = next(page, at);
    await breath();
    await store.applyPage({ rows: page.rows, cursor, last: !page.has_more });
    rows += page.rows.length;
    progress(rows);
    if (!page.has_more) return page;
    at = cursor;
  }
}

function since(at: Cursor | undefined): string {
  return at ? `${at.epoch}:${at.seq}` : "";
}

function next(page: PullAnswer, at: Cursor | undefined): Cursor {
  if (page.has_more && page.seq <= (at?.seq ?? -1)) {
    throw new Fault("no_way_on", t("The shed's pages lead nowhere."), t("The app tries again. If it goes on, restart the shed."));
  }
  return { epoch: page.epoch, seq: page.seq };
}

/**
 * The whole feed from nothing, put in place of the old mirror at one stroke: a connection lost half way
 * leaves the grower with the bench as it was.
 */
async function startOver({ store, wire, breath }: Line, progress: (rows: number) => void): Promise<PullAnswer> {
  const rows: FeedRow[] = [];
  let at: Cursor | undefined;
  for (;;) {
    const page = await wire.pull(since(at));
    const cursor = next(page, at);
    rows.push(...page.rows);
    progress(rows.length);
    if (!page.has_more) {
      await breath();
      await store.replaceMirror({ rows, cursor, last: true });
      return page;
    }
    at = cursor;
  }
}

/** Ask which acknowledged records the restored shed lacks; those wait again. Gives how many. */
export async function offerHeld(store: MishoStore, wire: Wire): Promise<number> {
  const held = await store.held();
  let lacking = 0;
  for (let from = 0; from < held.length; from += MOST_IDS) {
    const asked = held.slice(from, from + MOST_IDS);
    const missing = new Set((await wire.lacking(asked)).lacking);
    const again = asked.filter((id) => missing.has(id));
    await store.offerAgain(again);
    lacking += again.length;
  }
  await store.offerDone();
  return lacking;
}
