// The engine on the phone: the same code as on the server, as WebAssembly in a
// worker. The page is usable before it comes, and without it.
import { button, buttons, h } from "./dom";
import type { Pack, Person, Skill } from "./pack";
import type { Phone } from "./types";

interface Built { worker: string; wasm: string }
type Call = (what: string, question: unknown) => Promise<unknown>;
let call: Call | null = null;
let state = "waiting";

export async function loadEngine(): Promise<void> {
  if (call || state === "loading") return;
  state = "loading";
  try {
    const link = (navigator as Navigator & { connection?: { type?: string; saveData?: boolean } }).connection;
    if (link?.saveData) { state = "saving data"; return; }
    const r = await fetch("/phone/engine.json");
    if (!r.ok) { state = "not built"; return; }
    const built = await r.json() as Built;
    const w = new Worker("/phone/" + built.worker);
    const open = new Map<number, (v: { ok: boolean; value: unknown }) => void>();
    let n = 0;
    const ready = new Promise<void>((ok, no) => { w.onerror = () => no(new Error("worker")); open.set(0, (v) => (v.ok ? ok() : no(new Error(String(v.value))))); });
    w.onmessage = (e: MessageEvent<{ n: number; ok: boolean; value: unknown }>) => { open.get(e.data.n)?.(e.data); open.delete(e.data.n); };
    w.postMessage({ n: 0, wasm: "/phone/" + built.wasm });
    await ready;
    call = (what, question) => new Promise((ok, no) => { n++; open.set(n, (v) => (v.ok ? ok(v.value) : no(new Error(String(v.value))))); w.postMessage({ n, what, question }); });
    state = "ready";
    document.documentElement.dataset.engine = "ready";
  } catch {
    state = "not here";
  }
}

const title = (words: string, more?: string) => h("h1", {}, words, more ? h("small", {}, more) : null);
const missing = (): HTMLElement[] => [h("p", { class: "key" }, state === "not built" ? "The engine is not part of this build." : state === "loading" ? "The engine is still loading." : "The engine is not on this phone yet; it comes with signal."), buttons(button("Load it", () => void loadEngine()))];

// later shows what comes back when it does.
function later(what: string, question: unknown, show: (v: never) => (HTMLElement | null)[]): HTMLElement {
  const box = h("div", { "aria-live": "polite" }, h("p", {}, "Computing"));
  void call!(what, question).then((v) => box.replaceChildren(...show(v as never).filter((e): e is HTMLElement => !!e)), (err: Error) => box.replaceChildren(h("p", { class: "key" }, err.message)));
  return box;
}

interface Said { says: string[]; cautions: string[] }
const said = (v: Said) => [...v.says.map((s, i) => h("p", { class: i === 0 ? "key" : undefined }, s)), v.cautions?.length ? h("p", { class: "quiet" }, v.cautions.join(" ")) : null];

export const engine = {
  findingView(p: Person | undefined, chosen: string | undefined, pick: (f: string) => void, record: (payload: unknown, words: string) => void): (HTMLElement | null)[] {
    if (!p) return [title("A finding changed"), h("p", { class: "stop" }, "Locked.")];
    if (!call) return [title("A finding changed"), ...missing()];
    if (!chosen) return [title("A finding changed", p.code), h("p", {}, "Which? Holds stay as the server judged them this morning."), later("findings", { findings: p.findings }, (v: { list: { key: string; label: string; now: string }[] }) =>
      [buttons(...v.list.map((f) => button(f.label, () => pick(f.key), { small: f.now })))])];
    const box = h("div", {});
    box.append(later("levels", { key: chosen, findings: p.findings }, (v: { label: string; levels: { value: string; label: string }[] }) => [h("h2", {}, v.label),
      buttons(...v.levels.map((l) => button(l.label, () => {
        const [finding, side, st] = chosen.split("|") as [string, string, string];
        const before = p.findings.map((f) => ({ ...f }));
        const i = p.findings.findIndex((f) => f.finding === finding && f.side === side && f.state === st);
        const next = { finding, side, state: st, value: l.value };
        if (i >= 0) p.findings[i] = next; else p.findings.push(next);
        record(next, `${v.label}: ${l.label}`);
        box.replaceChildren(h("h2", {}, `${v.label}: ${l.label}`), later("decide", { before, after: p.findings, held: p.held, cleared: p.cleared }, (d: Said) => said(d)));
      })))]));
    return [title("A finding changed", p.code), box];
  },
  coldView(p: Person | undefined, pack: Pack | null): (HTMLElement | null)[] {
    if (!call) return [title("Cold now"), ...missing()];
    if (!pack?.hours.length) return [title("Cold now"), h("p", {}, "No forecast of today is on this phone.")];
    const now = new Date().toTimeString().slice(0, 5), hour = [...pack.hours].reverse().find((o) => o.time <= now) ?? pack.hours[0]!;
    return [title("Cold now", `${hour.air_c} °C, wind ${Math.round(hour.wind_m_s * 3.6)} km/h from ${hour.time}`), later("cold", { air_c: hour.air_c, wind_m_s: hour.wind_m_s, findings: p?.findings ?? [], stop_c: p?.wind_chill_stop ?? 0, check_min: p?.feet_check_min ?? 0 }, (v: Said) => said(v))];
  },
  fanView(p: Person | undefined, pack: Pack | null, slope: string | undefined, pick: (s: string) => void): (HTMLElement | null)[] {
    if (!call) return [title("Fan on a slope"), ...missing()];
    const s = pack?.slopes.find((o) => o.slope === slope);
    if (!s) return [title("Fan on a slope"), pack?.slopes.length ? buttons(...pack.slopes.map((o) => button(o.name, () => pick(o.slope), { small: `${o.gradient_pct.toFixed(0)} %` }))) : h("p", {}, "No slope of the programme's hill is on this phone.")];
    return [title("Fan", `${s.name}, ${s.gradient_pct.toFixed(0)} %`), later("fan", { gradient_pct: s.gradient_pct, snow: pack?.snow || "all", mass_kg: p?.mass_kg || 75 }, (v: { steps: { start_deg: number; gradient_pct: number; top_kmh: number }[] } & Said) =>
      [h("table", {}, h("thead", {}, h("tr", {}, ...["Start", "Feels like", "Fastest"].map((w) => h("th", { scope: "col" }, w)))), h("tbody", {}, ...v.steps.map((o) => h("tr", {}, h("th", { scope: "row" }, `${o.start_deg}°`), h("td", {}, `${o.gradient_pct} %`), h("td", {}, `${o.top_kmh} km/h`))))), ...said(v)])];
  },
  snowView(s: Phone, pack: Pack | null): (HTMLElement | null)[] {
    if (!call) return [title("Snow of today"), ...missing()];
    const glides = s.rows.filter((r) => r.item.kind === "glides").map((r) => JSON.parse(r.item.payload) as unknown);
    if (!glides.length) return [title("Snow of today"), h("p", {}, "Time a glide first: More, then Timed glide.")];
    return [title("Snow of today", `${glides.length} timed here`), later("snow", { snow: pack?.snow || "all", glides }, (v: Said) => said(v))];
  },
  // advise applies the counting rules to what was recorded before and here.
  async advise(p: Person | undefined, k: Skill, outcome: string, s: Phone): Promise<{ help: number; why: string } | null> {
    if (!call || !p) return null;
    const here = s.rows.filter((r) => r.item.kind === "attempt" && r.item.student === p.student && !s.rows.some((o) => o.item.names === r.item.id)).map((r) => ({ ...(JSON.parse(r.item.payload) as object), at: r.item.made_at }));
    try {
      return await call("advise", { history: p.history, here, skill: k.skill, side: k.side, aids: p.aids, known_min: p.known_min, outcome }) as { help: number; why: string };
    } catch { return null; }
  },
};
