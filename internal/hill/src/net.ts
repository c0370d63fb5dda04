// One request to the server. Whatever comes back is told apart here: an answer
// of this server to this request, something else that answered, or nothing.
import { Store, hex } from "./store";
import type { Answer, Effect, Item } from "./types";

export interface Reply { kind: string; answer: Answer | null }
const marker = "exchange", begins = `{"firnhand":"${marker}"`;

// eventOf is exchange.EventOf.
export function eventOf(text: string, echo: string, request: string): Reply {
  let a: Answer;
  try {
    a = JSON.parse(text) as Answer;
  } catch {
    const n = Math.min(text.length, begins.length);
    return { kind: text.slice(0, n) === begins.slice(0, n) ? "no_answer" : "not_ours", answer: null };
  }
  if (!a || a.firnhand !== marker) return { kind: "not_ours", answer: null };
  if (a.echo !== echo) return { kind: "no_answer", answer: null };
  switch (a.code) {
    case "taken":
      if (request === "send") return { kind: "answered", answer: a };
      if (request === "fetch" && a.person) return { kind: "packed", answer: a };
      if (request === "check") return { kind: "summed", answer: a };
      break;
    case "signed_out":
    case "not_allowed": return { kind: "sign_out", answer: a };
    case "other_person": if (a.person) return { kind: "other", answer: a }; break;
    case "revoked": return { kind: "revoke", answer: a };
    case "too_big": return { kind: "too_long", answer: a };
  }
  return { kind: "no_answer", answer: null };
}

export async function ask(store: Store, e: Effect, device: string, items: Item[], build: string): Promise<Reply> {
  const echo = hex(crypto.getRandomValues(new Uint8Array(8)));
  const body = JSON.stringify({ exchange: 1, echo, device, secret: store.secret, person: e.person ?? "", build, now: Date.now(),
    ...(e.kind === "send" ? { items } : e.kind === "check" ? { ids: e.ids ?? [] } : { pack: true }) });
  try {
    const r = await fetch("/phone/exchange", { method: "POST", body, headers: { "Content-Type": "application/json" }, cache: "no-store", redirect: "manual",
      credentials: "same-origin", signal: AbortSignal.timeout(e.timeout_ms ?? 15000) });
    if (r.type === "opaqueredirect") return { kind: "not_ours", answer: null };
    return eventOf(await r.text(), echo, e.kind);
  } catch {
    return { kind: "no_answer", answer: null };
  }
}
