// The other side in the browser: PouchDB on the same browser's IndexedDB, with the bytes of its requests counted.

// @ts-expect-error: it comes without types
import PouchDB from "pouchdb-browser";

type Doc = Record<string, unknown> & { _id: string };
let up = 0;

function counted(input: string, init: RequestInit): Promise<Response> {
  if (typeof init.body === "string") up += new TextEncoder().encode(init.body).length;
  return PouchDB.fetch(input, init);
}

const driver = {
  /** Write the documents, `at_once` to a call. Seconds. */
  async capture(name: string, docs: Doc[], at_once: number): Promise<number> {
    const local = new PouchDB(name);
    const start = performance.now();
    for (let from = 0; from < docs.length; from += at_once) await local.bulkDocs(docs.slice(from, from + at_once));
    return (performance.now() - start) / 1000;
  },

  /** Replicate to the server; batch_size 0 leaves PouchDB's default. Seconds, bytes sent, documents written. */
  async sync(name: string, batch_size: number): Promise<{ acknowledged_s: number; bytes_up: number; pushed: number }> {
    const local = new PouchDB(name);
    const remote = new PouchDB(`${location.origin}/db/${name}`, { adapter: "http", fetch: counted });
    up = 0;
    const start = performance.now();
    const done = await local.replicate.to(remote, batch_size ? { batch_size } : {});
    return { acknowledged_s: (performance.now() - start) / 1000, bytes_up: up, pushed: done.docs_written };
  },
};

Object.assign(globalThis, { driver });
