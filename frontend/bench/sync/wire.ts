// One request and its answer. What is not the shed's own well-formed answer is a fault, whatever its status says.

import type { FeedRow, Result, StoredPhoto } from "../store";
import type { Role } from "../model/words";
import { locale, t, word, type Text } from "../words";

/** Why a request came to nothing, in words for the grower. */
export class Fault extends Error {
  constructor(
    readonly code: string,
    message: string,
    readonly mend: string,
    readonly status = 0,
    /** How long the shed asked us to wait [ms]. */
    readonly waitMs: number | null = null,
  ) {
    super(message);
    this.name = "Fault";
  }
}

export interface PushAnswer { results: Result[]; server_time: string; epoch: string }
export interface PullAnswer {
  epoch: string;
  seq: number;
  has_more: boolean;
  server_time: string;
  rows: FeedRow[];
  device: { id: string; name: string; role: Role };
}
export interface PairAnswer { device: string; name: string; role: Role; server_time: string; epoch: string }
export interface LackingAnswer { lacking: string[] }
/** `have`: so many bytes are there; "kept": the whole file is, with the hash and size that the request named. */
export interface PhotoAnswer {
  photo: string;
  state: "coming" | "kept" | "refused";
  have: number;
  message: string;
  mend: string;
  server_time: string;
  epoch: string;
}

type Json = Record<string, unknown>;

/**
 * The way of speaking: from 2 on, reasons come as data and are said here, in the grower's language and unit; from 3
 * on also why a record was set aside.
 */
const SPOKEN = "3";
const PATIENCE = 60_000;
/** The server's clock has to differ by so much from what was told last [ms]. */
const WORTH_TELLING = 50;
/** Below this a body is sent as it is [bytes]. */
const WORTH_PACKING = 1024;

const AWAY = () =>
  new Fault("away", t("The shed does not answer."), t("Nothing is lost. The app tries again when you are near it."));
const STRANGER = () =>
  new Fault(
    "not_the_shed",
    t("Something other than the shed answered."),
    t("Join the nursery's own Wi-Fi, or open a browser and sign in to the network you are on."),
  );
const CUT_OFF = () => new Fault("cut_off", t("The shed's answer was cut off."), t("Nothing is lost. The app tries again."));

const AGAIN = word("The app tries again by itself.");

/** What to say where a status comes without the shed's own words. */
const BY_STATUS: Record<number, [code: string, message: Text, mend: Text]> = {
  413: ["too_large", word("A batch was too large for the way to the shed."), word("The app tries with fewer records.")],
  429: ["slow_down", word("The shed asks for a pause."), AGAIN],
  502: ["busy", word("The shed is not ready."), AGAIN],
  503: ["busy", word("The shed is busy."), AGAIN],
  504: ["busy", word("The shed is not ready."), AGAIN],
};

export type Fetch = (input: string, init: RequestInit) => Promise<Response>;

export class Wire {
  private told: number | undefined;

  constructor(
    private readonly fetch: Fetch,
    /** Told the server's clock less ours [ms] at each exchange. */
    private readonly onOffset: (ms: number) => void,
  ) {}

  /** `body`: of `{"records":[...]}`. */
  push(body: Body): Promise<PushAnswer> {
    return this.ask("POST", "/api/sync/push", isPush, body);
  }

  pull(since: string): Promise<PullAnswer> {
    return this.ask("GET", `/api/sync/pull${since ? `?since=${encodeURIComponent(since)}` : ""}`, isPull);
  }

  async lacking(ids: readonly string[]): Promise<LackingAnswer> {
    return this.ask("POST", "/api/sync/lacking", isLacking, await pack(JSON.stringify({ ids })));
  }

  async pair(code: string, name: string): Promise<PairAnswer> {
    const body = await pack(JSON.stringify(name ? { code, name } : { code }));
    return this.ask("POST", "/api/devices/pair", isPair, body);
  }

  /** One piece of a picture, which begins at byte `at`. */
  photo({ id, sha256, bytes }: StoredPhoto, at: number, piece: ArrayBuffer): Promise<PhotoAnswer> {
    const path = `/api/photos/${id}?offset=${at}&bytes=${bytes}&sha256=${sha256}`;
    return this.ask("PUT", path, (json) => isPhoto(json, id), new Uint8Array(piece));
  }

  private async ask<T>(method: string, path: string, good: (json: Json) => boolean, body?: Body): Promise<T> {
    const sent = Date.now();
    const init = request(method, body);
    let answer: Response;
    let text: string;
    try {
      answer = await this.fetch(path, init);
    } catch {
      throw AWAY();
    }
    try {
      text = await answer.text();
    } catch {
      throw CUT_OFF();
    }
    const json = read(answer, text);
    if (!answer.ok) throw refusal(answer, json);
    if (answer.status !== 200) throw STRANGER();
    if (json === "broken") throw CUT_OFF();
    if (!json || !good(json)) throw STRANGER();
    this.learn(json["server_time"], sent, Date.now());
    return json as T;
  }

  /** Half way between question and answer is when the shed looked at its clock. */
  private learn(serverTime: unknown, sent: number, received: number): void {
    const server = typeof serverTime === "string" ? Date.parse(serverTime) : NaN;
    if (!Number.isFinite(server) || received < sent) return;
    const offset = server - (sent + received) / 2;
    // Each telling is a write to the phone's disk.
    if (this.told !== undefined && Math.abs(offset - this.told) < WORTH_TELLING) return;
    this.told = offset;
    this.onOffset(offset);
  }
}

function request(method: string, body: Body | undefined): RequestInit {
  const headers: Record<string, string> = { "X-Misho": SPOKEN, Accept: "application/json", "Accept-Language": locale() };
  // A redirect leads to a sign-in page, never to the shed.
  const init: RequestInit = {
    method,
    headers,
    cache: "no-store",
    credentials: "same-origin",
    redirect: "error",
    signal: AbortSignal.timeout(PATIENCE),
  };
  if (body === undefined) return init;
  if (body instanceof Uint8Array) {
    headers["Content-Type"] = "application/octet-stream";
    return { ...init, body };
  }
  headers["Content-Type"] = "application/json";
  if (typeof body !== "string") headers["Content-Encoding"] = "gzip";
  return { ...init, body };
}

/** JSON as it goes over, packed where that is worth it; or bytes as they are. */
export type Body = string | ArrayBuffer | Uint8Array<ArrayBuffer>;

export async function pack(text: string): Promise<Body> {
  if (text.length < WORTH_PACKING || typeof CompressionStream === "undefined") return text;
  const packed = new Response(text).body!.pipeThrough(new CompressionStream("gzip"));
  return new Response(packed).arrayBuffer();
}

function read(answer: Response, text: string): Json | "broken" | undefined {
  if (!/^application\/json\b/i.test(answer.headers.get("Content-Type") ?? "")) return undefined;
  try {
    const json: unknown = JSON.parse(text);
    return typeof json === "object" && json !== null && !Array.isArray(json) ? (json as Json) : undefined;
  } catch {
    return "broken";
  }
}

/** Only the shed's own error is taken at its word: a proxy's 401 must not unpair the phone. */
function refusal(answer: Response, json: Json | "broken" | undefined): Fault {
  const wait = retryAfter(answer.headers.get("Retry-After"));
  const error = json && json !== "broken" ? (json["error"] as Json | undefined) : undefined;
  if (error && typeof error["code"] === "string" && typeof error["message"] === "string") {
    const mend = typeof error["mend"] === "string" ? error["mend"] : "";
    return new Fault(error["code"], error["message"], mend, answer.status, wait);
  }
  const [code, message, mend] = BY_STATUS[answer.status] ?? [];
  if (code && message && mend) return new Fault(code, t(message), t(mend), answer.status, wait);
  if (answer.status >= 500) return new Fault("server", t("The shed had a fault."), t(AGAIN), answer.status);
  return STRANGER();
}

/** Seconds or a date, as HTTP allows (RFC 9110, section 10.2.3); null where there is none. [ms] */
export function retryAfter(header: string | null): number | null {
  if (!header) return null;
  const ms = /^\d+$/.test(header.trim()) ? Number(header) * 1000 : Date.parse(header) - Date.now();
  return Number.isFinite(ms) ? Math.max(0, ms) : null;
}

// ---- the shapes that count as answers ----

const isText = (value: unknown): value is string => typeof value === "string";

function isPush(json: Json): boolean {
  const results = json["results"];
  return Array.isArray(results) && isText(json["server_time"]) && results.every(isResult);
}

function isResult(value: unknown): boolean {
  const result = value as Json | null;
  return isText(result?.["id"]) && ["stored", "duplicate", "set_aside"].includes(result["outcome"] as string);
}

function isPull(json: Json): boolean {
  const rows = json["rows"];
  return (
    isText(json["epoch"]) && Number.isInteger(json["seq"]) && typeof json["has_more"] === "boolean" &&
    isText((json["device"] as Json | undefined)?.["id"]) && Array.isArray(rows) && rows.every(isFeedRow)
  );
}

function isFeedRow(row: unknown): boolean {
  return Array.isArray(row) && row.length === 3 && isText(row[0]) && isText(row[1]) && typeof row[2] === "object";
}

function isLacking(json: Json): boolean {
  return Array.isArray(json["lacking"]) && json["lacking"].every(isText);
}

function isPhoto(json: Json, id: string): boolean {
  return (
    json["photo"] === id && ["coming", "kept", "refused"].includes(json["state"] as string) &&
    Number.isInteger(json["have"]) && isText(json["server_time"]) && isText(json["epoch"])
  );
}

function isPair(json: Json): boolean {
  return isText(json["device"]) && isText(json["role"]) && isText(json["epoch"]);
}
