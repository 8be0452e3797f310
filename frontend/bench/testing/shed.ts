// A stand-in for the shed's side of the protocol, in memory: vitest has no Django to run. It keeps to the
// documented shapes and can be told to fail; the real server is asked by the browser tests.

import type { Bodies, RecordOut } from "../model/types";
import type { FeedRow } from "../store";
import type { Fetch } from "../sync/wire";

export interface Call { method: string; path: string; headers: Headers; body: unknown; bytes: number }
type Fault = (call: Call, answer: () => Response) => Response | Promise<Response>;

export class Shed {
  epoch = "e1";
  role = "helper";
  /** The only code that pairs. */
  code = "7KQ4-M2XD";
  paired = true;
  pageSize = 2000;
  /** Server's clock less the phone's [ms]. */
  ahead = 0;
  records = new Map<string, RecordOut>();
  feed: FeedRow[] = [];
  calls: Call[] = [];
  /** Faults to come, one for each request; undefined: no fault. */
  faults: (Fault | undefined)[] = [];
  /** A fault of every request, asked after `faults`. */
  always: Fault | undefined;
  /** Pictures by id: the bytes so far, and those that are whole. */
  parts = new Map<string, Uint8Array<ArrayBuffer>>();
  pictures = new Map<string, Uint8Array<ArrayBuffer>>();

  fetch: Fetch = async (path, init) => {
    const headers = new Headers(init.headers);
    const raw = headers.get("Content-Type") === "application/octet-stream";
    const piece = raw ? new Uint8Array(await new Response(init.body).arrayBuffer()) : undefined;
    const [body, bytes] = piece
      ? [piece, piece.length]
      : await unpack(init.body, headers.get("Content-Encoding") === "gzip");
    const call: Call = { method: init.method ?? "GET", path, headers, body, bytes };
    this.calls.push(call);
    const answer = () => this.answer(call);
    const fault = this.faults.shift() ?? this.always;
    return fault ? fault(call, answer) : answer();
  };

  pushes(): string[][] {
    return this.calls
      .filter((call) => call.path === "/api/sync/push")
      .map((call) => (call.body as { records: RecordOut[] }).records.map((record) => record.id));
  }

  publish(...rows: FeedRow[]): void {
    this.feed.push(...rows);
  }

  private now(): string {
    return new Date(Date.now() + this.ahead).toISOString();
  }

  private answer(call: Call): Response {
    const { path, method, headers } = call;
    if (method === "POST" && headers.get("X-Misho") !== "3") return refuse(403, "forbidden");
    if (path === "/api/devices/pair") return this.pair(call.body as { code: string; name?: string });
    if (!this.paired) return refuse(401, "not_paired");
    if (path === "/api/sync/push") return this.push((call.body as { records: RecordOut[] }).records);
    if (path === "/api/sync/lacking") {
      const { ids } = call.body as { ids: string[] };
      return json({ lacking: ids.filter((id) => !this.records.has(id)) });
    }
    if (path.startsWith("/api/photos/")) return this.photo(new URL(path, "http://shed"), call.body as Uint8Array<ArrayBuffer>);
    return this.pull(new URL(path, "http://shed").searchParams.get("since") ?? "");
  }

  private pair({ code, name }: { code: string; name?: string }): Response {
    if (code !== this.code) return refuse(403, "forbidden", "This code is not known.", "Ask for a new one at the shed.");
    this.paired = true;
    return json({ device: "d2", name: name ?? "phone", role: this.role, server_time: this.now(), epoch: this.epoch });
  }

  private push(records: RecordOut[]): Response {
    if (this.role === "viewer") return refuse(403, "forbidden", "This phone may only look.", "Ask the owner.");
    const results = records.map((record) => {
      const outcome = this.records.has(record.id) ? "duplicate" : this.judge(record);
      this.records.set(record.id, record);
      const told = outcome === "set_aside" ? ["bad_value", "body.mm", "No caliper is so thick.", "Measure again."] : [];
      const [reason = "", field = "", message = "", mend = ""] = told;
      return { id: record.id, outcome, reason, field, message, mend };
    });
    return json({ results, server_time: this.now(), epoch: this.epoch });
  }

  private photo(url: URL, piece: Uint8Array<ArrayBuffer>): Response {
    const id = url.pathname.split("/").pop()!;
    const [offset, size] = ["offset", "bytes"].map((name) => Number(url.searchParams.get(name)));
    const told = (state: string, have: number, message = "", mend = "") =>
      json({ photo: id, state, have, reason: "", message, mend, server_time: this.now(), epoch: this.epoch });
    if (this.pictures.has(id)) return told("kept", size!);
    const part = this.parts.get(id) ?? new Uint8Array();
    const whole = offset === part.length ? joined(part, piece) : part;
    this.parts.set(id, whole);
    if (whole.length < size!) return told("coming", whole.length);
    if (whole[0] !== 0xff) return told("refused", size!, "This file is no picture.", "Take it again.");
    this.pictures.set(id, whole);
    return told("kept", size!);
  }

  private judge(record: RecordOut): "stored" | "set_aside" {
    return record.kind === "caliper" && (record.body as Bodies["caliper"]).mm > 1000 ? "set_aside" : "stored";
  }

  private pull(since: string): Response {
    const [epoch = "", seq = "0"] = since.split(":");
    if (epoch && epoch !== this.epoch) return refuse(409, "epoch_changed");
    const from = Number(seq);
    const rows = this.feed.slice(from, from + this.pageSize);
    const to = from + rows.length;
    const device = { id: "d1", name: "phone", role: this.role };
    const page = { epoch: this.epoch, seq: to, has_more: to < this.feed.length, server_time: this.now(), rows, device };
    return json(page);
  }
}

function joined(a: Uint8Array<ArrayBuffer>, b: Uint8Array<ArrayBuffer>): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(a.length + b.length);
  whole.set(a);
  whole.set(b, a.length);
  return whole;
}

async function unpack(body: BodyInit | null | undefined, gzip: boolean): Promise<[unknown, number]> {
  if (body === null || body === undefined) return [undefined, 0];
  const bytes = new Uint8Array(await new Response(body).arrayBuffer());
  const stream = new Response(bytes).body!;
  const text = await new Response(gzip ? stream.pipeThrough(new DecompressionStream("gzip")) : stream).text();
  return [JSON.parse(text), bytes.length];
}

export function json(value: unknown, status = 200, headers: Record<string, string> = {}): Response {
  return new Response(JSON.stringify(value), { status, headers: { "Content-Type": "application/json", ...headers } });
}

export function refuse(
  status: number, code: string, message = `The shed said ${code}.`, mend = "", headers: Record<string, string> = {},
): Response {
  return json({ error: { code, message, field: "", mend } }, status, headers);
}
