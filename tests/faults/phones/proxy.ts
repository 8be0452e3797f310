// The way between phones and shed: an HTTP proxy that does to the next request what the plan says.

import { createServer, request, type IncomingHttpHeaders, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { gunzipSync } from "node:zlib";
import { ask } from "./asking";
import type { WireFault } from "./plan";

interface Asked { method: string; path: string; headers: IncomingHttpHeaders; body: Buffer }
interface Answered { status: number; headers: IncomingHttpHeaders; body: Buffer }
type Kind = WireFault["on"];

const PORTAL = "<!doctype html><title>Welcome</title><p>Accept our terms to go on.";
const kinds: Record<string, Kind> = {
  "/api/sync/push": "push", "/api/sync/pull": "pull", "/api/sync/lacking": "lacking",
};

export class Way {
  private readonly faults = new Map<string, WireFault[]>();
  private readonly poisoned = new Map<string, string>();
  private readonly late: (() => Promise<unknown>)[] = [];
  private readonly server = createServer((req, res) => {
    const serving = this.serve(req, res).catch(() => void res.destroy());
    this.serving.add(serving);
    void serving.finally(() => this.serving.delete(serving));
  });
  private readonly serving = new Set<Promise<void>>();
  port = 0;
  shed = 0;
  page = 50;
  /** How often each fault struck. */
  readonly struck = new Map<string, number>();
  /** Tells the shed's name of a phone, for its revocation. */
  deviceOf: (phone: string) => Promise<string | undefined> = async () => undefined;

  async open(): Promise<void> {
    await new Promise<void>((resolve) => this.server.listen(0, "127.0.0.1", resolve));
    this.port = (this.server.address() as AddressInfo).port;
  }

  arm(phone: string, faults: readonly WireFault[]): void {
    this.faults.set(phone, [...(this.faults.get(phone) ?? []), ...faults]);
  }

  /** From now on all is well; what was held back on the way arrives first. */
  async clear(): Promise<void> {
    this.faults.clear();
    this.poisoned.clear();
    for (const deliver of this.late.splice(0)) await deliver().catch(() => undefined);
  }

  /** No request is on its way any more. */
  async still(): Promise<void> {
    await Promise.all(this.serving);
  }

  private take(phone: string, kind: Kind): WireFault | undefined {
    const faults = this.faults.get(phone) ?? [];
    const at = faults.findIndex((fault) => fault.on === "any" || fault.on === kind);
    if (at < 0) return undefined;
    const [fault] = faults.splice(at, 1);
    this.strike(fault!.shed?.split(":")[0] ?? fault!.what);
    return fault;
  }

  strike(what: string): void {
    this.struck.set(what, (this.struck.get(what) ?? 0) + 1);
  }

  private async serve(req: IncomingMessage, res: ServerResponse): Promise<void> {
    const chunks: Buffer[] = [];
    for await (const chunk of req) chunks.push(chunk as Buffer);
    const phone = String(req.headers["x-phone"] ?? "");
    const path = req.url ?? "";
    const kind = kinds[path.split("?")[0]!] ?? (path.startsWith("/api/photos/") ? "photo" : "any");
    const asked = { method: req.method ?? "GET", path: this.paged(path, kind), headers: req.headers, body: Buffer.concat(chunks) };
    if (kind === "push" && this.isPoisoned(phone, asked)) return refuse(res, 400, "bad_value");
    const fault = this.take(phone, kind);
    if (fault) await this.fail(fault, phone, asked, res);
    else give(res, await this.pass(asked));
    // What overtook an older request is through now: that one arrives.
    if (fault?.what !== "late" && Math.random() < 0.5) await this.late.shift()?.().catch(() => undefined);
  }

  private paged(path: string, kind: Kind): string {
    if (kind !== "pull") return path;
    return `${path}${path.includes("?") ? "&" : "?"}limit=${this.page}`;
  }

  private async fail(fault: WireFault, phone: string, asked: Asked, res: ServerResponse): Promise<unknown> {
    switch (fault.what) {
      case "lose_request":
        return res.destroy();
      case "lose_answer":
        await this.pass(asked).catch(() => undefined);
        return res.destroy();
      case "late":
        this.late.push(() => this.pass(asked));
        return res.destroy();
      case "twice":
        await this.pass(asked);
        return give(res, await this.pass(asked));
      case "cut":
        return cut(res, await this.pass(asked));
      case "captive":
        return give(res, { status: 200, headers: { "content-type": "text/html" }, body: Buffer.from(PORTAL) });
      case "too_large":
        return recordsIn(asked).length > 1 ? refuse(res, 413, "too_large") : give(res, await this.pass(asked));
      case "slow_down":
        return refuse(res, 429, "slow_down", { "retry-after": "1" });
      case "bad_gateway":
        return give(res, { status: 502, headers: { "content-type": "text/html" }, body: Buffer.from("<h1>502</h1>") });
      case "poison":
        return this.poison(phone, asked, res);
      case "shed":
        return give(res, await this.pass(asked, fault.shed));
      case "edit":
        await ask("edit", { n: fault.n ?? 0 });
        return give(res, await this.pass(asked));
      case "slow":
        return this.slow(asked, res, fault.n ?? 0);
      case "revoke_before":
        await ask("revoke", { device: await this.deviceOf(phone) });
        return give(res, await this.pass(asked));
      case "revoke_after": {
        const answer = await this.pass(asked);
        await ask("revoke", { device: await this.deviceOf(phone) });
        return give(res, answer);
      }
    }
  }

  /** From now on a batch with its first record is refused, whatever else it holds. */
  private async poison(phone: string, asked: Asked, res: ServerResponse): Promise<void> {
    const [first] = recordsIn(asked);
    if (first) this.poisoned.set(phone, first.id);
    if (first) refuse(res, 400, "bad_value");
    else give(res, await this.pass(asked));
  }

  private isPoisoned(phone: string, asked: Asked): boolean {
    const id = this.poisoned.get(phone);
    return id !== undefined && recordsIn(asked).some((record) => record.id === id);
  }

  /** A writer holds numbers of the feed that it has not committed when the phone asks what is new. */
  private async slow(asked: Asked, res: ServerResponse, n: number): Promise<void> {
    await ask("slow_begin", { n });
    const answer = await this.pass(asked).finally(() => ask("slow_commit"));
    give(res, answer);
  }

  private pass(asked: Asked, shed = ""): Promise<Answered> {
    const { method, path, body } = asked;
    const headers = { ...asked.headers, connection: "close", "content-length": String(body.length) };
    const to = { host: "127.0.0.1", port: this.shed, method, path, headers: shed ? { ...headers, "x-faults": shed } : headers };
    return new Promise((resolve, reject) => {
      const going = request(to, (answer) => {
        const chunks: Buffer[] = [];
        answer.on("data", (chunk: Buffer) => chunks.push(chunk));
        answer.on("error", reject);
        answer.on("end", () => {
          resolve({ status: answer.statusCode ?? 0, headers: answer.headers, body: Buffer.concat(chunks) });
        });
      });
      going.on("error", reject);
      going.end(body);
    });
  }
}

function recordsIn({ path, headers, body }: Asked): { id: string }[] {
  if (!path.startsWith("/api/sync/push")) return [];
  const text = headers["content-encoding"] === "gzip" ? gunzipSync(body) : body;
  return (JSON.parse(text.toString()) as { records?: { id: string }[] }).records ?? [];
}

function give(res: ServerResponse, { status, headers, body }: Answered): void {
  const { connection: _connection, "transfer-encoding": _coding, ...kept } = headers;
  res.writeHead(status, { ...kept, "content-length": body.length });
  res.end(body);
}

/** Half of the answer, of the length that the whole would have had. */
function cut(res: ServerResponse, { status, headers, body }: Answered): void {
  const { connection: _connection, ...kept } = headers;
  res.writeHead(status, { ...kept, "content-length": body.length });
  res.write(body.subarray(0, Math.floor(body.length / 2)), () => res.destroy());
}

function refuse(res: ServerResponse, status: number, code: string, headers: Record<string, string> = {}): void {
  const error = { code, message: `The way said ${code}.`, field: "", mend: "" };
  const body = Buffer.from(JSON.stringify({ error }));
  give(res, { status, headers: { "content-type": "application/json", ...headers }, body });
}
