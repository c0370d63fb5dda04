// The page: what it shows, and what a tap means.
import { button, buttons, h } from "./dom";
import { engine, loadEngine } from "./engine";
import { clockShown, heldFor, keptBack, waiting } from "./machine";
import type { Person, Skill, Stub, Value } from "./pack";
import { Runner, local } from "./run";
import { uuid } from "./store";

export const run = new Runner();
interface View { name: string; student?: string; skill?: Skill; help?: number; id?: string; page?: number; slope?: string; finding?: string }
let view: View = { name: "people" };
let toast: { words: string; undo?: { student: string; id: string }; bad?: boolean } | null = null;
let gloves = localStorage.getItem("gloves") !== "off";
const main = () => document.getElementById("main")!;

export function go(next: View, replace = false): void {
  view = next;
  history[replace ? "replaceState" : "pushState"](next, "");
  render();
  main().focus();
  scrollTo(0, 0);
}
addEventListener("popstate", (e) => { view = ((e as PopStateEvent).state as View | null) ?? { name: "people" }; render(); });

const people = (): (Person | Stub)[] => run.pack?.people ?? run.list;
const who = (id = view.student) => people().find((p) => p.student === id);
const full = (id = view.student) => run.pack?.people.find((p) => p.student === id);
const upper = (s: string) => s.slice(0, 1).toUpperCase() + s.slice(1);
const nameOf = (p: Person | Stub) => ("name" in p ? p.name : p.code);
const levelName = (n: number) => run.pack?.levels.find((l) => l.level === n)?.name ?? "";
const clockTime = (d = new Date()) => d.toTimeString().slice(0, 5);

// save records something and says so.
async function save(student: string, kind: string, payload: unknown, words: string, id: string, names = ""): Promise<boolean> {
  const ok = await run.record(student, kind, payload, names, id);
  if (ok) {
    navigator.vibrate?.(30);
    toast = { words: `Saved ${clockTime()}: ${words}`, ...(names ? {} : { undo: { student, id } }) };
  } else {
    navigator.vibrate?.([200, 100, 200]);
    toast = { words: `Not saved: ${words}. ${whyNot()}`, bad: true };
  }
  if (forms.includes(view.name)) say(); else render();
  return ok;
}

const forms = ["note", "near", "finding"]; // what is on them stays while something is saved
let reason = "";
const whyNot = () => ({ full: "This phone is full. Free some space, then tap again, or write it on paper.", turned: "This phone changed hands. Open the page again.", closed: "The phone's storage did not answer. Tap again, or write it on paper.",
  no_day: "Nobody's day is on this phone.", revoked: "This phone was revoked." } as Record<string, string>)[reason] ?? "Write it on paper.";

run.ontell = (say, count, sentence) => {
  const words: Record<string, string> = {
    locked: "No word from the server for a long time: the day is locked. You can still record, by lesson code.",
    revoked: "The lead has revoked this phone. The day was removed.",
    not_ours: "Something else answered, such as a guest network's sign-in page. Nothing was sent; it is safe here.",
    stuck: "This phone cannot keep notes. Nothing typed here is saved: use paper.",
    set_aside: "One item was set aside" + (sentence ? ": " + sentence : ".") + " It is kept here; see Outbox.",
    other_person: `${count} of somebody else's items wait here for their sign-in.`,
    lost: `The browser threw away this page's storage. ${count} items that had not been sent are lost. Write them again from paper.`,
    emptied: "Everything was sent, checked against the server, and removed from this phone.",
    kept_back: `${count} items are set aside and in no file. Save them as a file first; see Outbox.`,
  };
  if (say === "not_saved") reason = sentence;
  if (say === "no_day" || say === "revoked") reason = say;
  if (words[say]) toast = { words: words[say], bad: say !== "emptied" && say !== "set_aside" };
};
run.onchange = () => { status(); if (forms.includes(view.name)) { say(); return; } if (["people", "outbox"].includes(view.name) || lastMode !== run.s.mode) { lastMode = run.s.mode; render(); } else say(); };
let lastMode = "";

function status(): void {
  const lost = run.s.unsaved.length, n = waiting(run.s) - lost, m = run.s.mode;
  const e = document.getElementById("status")!;
  const parts: string[] = [];
  if (m === "opening") parts.push("Opening");
  else if (m === "stuck") parts.push("This phone cannot keep notes");
  else if (m === "at_door") parts.push(n ? `Sign in to send ${n}` : "Sign in");
  else if (n) parts.push(`${n} saved here, not sent`);
  else if (run.s.meta.person) parts.push("All sent");
  if (lost && m !== "stuck") parts.unshift(`${lost} NOT saved`);
  const aside = keptBack(run.s);
  if (aside) parts.push(`${aside} set aside`);
  if (clockShown(run.s.meta)) parts.push(`clock ${run.s.meta.offset < 0 ? "ahead" : "behind"} by ${span(Math.abs(run.s.meta.offset))}`);
  const words = parts.join(" · ");
  if (e.textContent !== words) e.textContent = words;
}
const span = (ms: number) => (ms < 7.2e6 ? `${Math.round(ms / 6e4)} min` : ms < 1.7e8 ? `${Math.round(ms / 3.6e6)} h` : `${Math.round(ms / 8.64e7)} days`);

export function render(): void {
  status();
  document.documentElement.classList.toggle("gloves", gloves);
  const make = views[view.name] ?? views.people!;
  const back = view.name === "people" ? null : button("Back", () => history.back(), { kind: "back" });
  const made = make().filter((e): e is HTMLElement => !!e);
  const top = back && made[0]?.tagName === "H1" ? [h("div", { class: "top" }, back, made.shift()!)] : back ? [back] : [];
  main().replaceChildren(...top, ...made);
  say();
}

// say shows what happened last, and leaves the rest of the page alone: text
// that is being typed stays.
function say(): void {
  const bar = toast ? h("div", { class: toast.bad ? "toast bad" : "toast" }, h("p", {}, toast.words), toast.undo ? button("Undo", undo, { kind: "undo", id: "undo" }) : null) : null;
  document.getElementById("toast")!.replaceChildren(...(bar ? [bar] : []));
}

async function undo(): Promise<void> {
  const u = toast?.undo;
  if (!u) return;
  toast = null;
  await save(u.student, "retraction", { reason: "Undone on the phone" }, "taken back", uuid(), u.id);
}

const title = (words: string, more?: string) => h("h1", {}, words, more ? h("small", {}, more) : null);
const para = (words: string, kind?: string) => h("p", { class: kind }, words);

const views: Record<string, () => (HTMLElement | null)[]> = {
  people() {
    const s = run.s, ps = people();
    if (s.mode === "opening") return [title("Firnhand"), para("Opening")];
    if (!s.meta.person) return [title("Firnhand"), para(s.mode === "at_door" ? "Sign in once, with signal. After that the page works without." : "Nobody's day is on this phone yet."),
      buttons(link("Sign in", "/sign-in"), button("Ask for today", () => run.happens({ kind: "nudge" }))), s.rows.length ? button("Outbox", () => go({ name: "outbox" })) : null];
    return [title("Today", run.pack ? run.pack.name : "Locked: lesson codes only"),
      s.meta.locked ? para("Locked: no word from the server for 12 hours. You can record by lesson code. Contact and sign-in open it again.", "stop") : null,
      s.mode === "at_door" ? buttons(link("Sign in to send", "/sign-in")) : null,
      ps.length ? buttons(...ps.map((p) => button(nameOf(p), () => go({ name: "person", student: p.student }), { small: "name" in p ? p.code : "" }))) : para("Nobody is chosen for today. Choose at the desk, under Phones."),
      h("div", { class: "quiet-row" }, button(gloves ? "Gloves on" : "Gloves off", () => { gloves = !gloves; localStorage.setItem("gloves", gloves ? "on" : "off"); render(); }, { kind: "plain" }),
        button("Outbox", () => go({ name: "outbox" }), { kind: "plain" }))];
  },
  person() {
    const p = who();
    if (!p) return [para("This person is not on the phone any more.")];
    const f = full(), offered = p.skills.slice(0, 3);
    return [title(nameOf(p), [p.code, minutesWords(p.student)].filter(Boolean).join(" · ")),
      f?.card?.hold ? para(f.card.hold.kind === 1 ? "No standing today" : "No skiing today", "stop") : null,
      f?.card?.stop_word ? para("Stop word: " + f.card.stop_word, "key") : null,
      due(p.student),
      buttons(...offered.map((k) => button(upper(k.name), () => go({ name: "help", student: p.student, skill: k }), { small: [k.side_words, `help ${k.help}`].filter(Boolean).join(" · ") })),
        button("Other skill", () => go({ name: "skills", student: p.student })), button("Fall or stop", () => go({ name: "fall", student: p.student }), { kind: "alarm" }),
        button("More", () => go({ name: "more", student: p.student })))];
  },
  skills() {
    const p = who();
    return [title("Which skill?"), buttons(...(p?.skills ?? []).map((k) => button(upper(k.name), () => go({ name: "help", student: p!.student, skill: k }), { small: [k.side_words, `help ${k.help}`].filter(Boolean).join(" · ") })))];
  },
  help() {
    const k = view.skill!, pick = (n: number) => go({ name: "outcome", student: view.student!, skill: k, help: n, id: uuid() });
    const one = (n: number, words: string) => (n < k.least_help || n > 7 ? null : button(`${n}  ${words}`, () => pick(n), { small: levelName(n) }));
    return [title(upper(k.name), k.side_words), para("How much help?"), k.advice ? para(k.advice, "quiet") : null,
      buttons(one(k.help, "as planned"), one(k.help - 1, "one less"), one(k.help + 1, "one more"), button("Another level", () => go({ name: "levels", student: view.student!, skill: k })))];
  },
  levels() {
    const k = view.skill!;
    return [title(upper(k.name), k.side_words), buttons(...[7, 6, 5, 4, 3, 2, 1, 0].filter((n) => n >= k.least_help).map((n) => button(String(n), () => go({ name: "outcome", student: view.student!, skill: k, help: n, id: uuid() }), { small: levelName(n) })))];
  },
  outcome() {
    const { student, skill: k, help, id } = view as Required<View>;
    const tap = (outcome: string) => {
      const p = who(student)!;
      go({ name: "person", student }, true);
      const m = minutes(student);
      void save(student, "attempt", { ...(p.lesson ? { lesson: p.lesson } : {}), skill: k.skill, side: k.side, help, outcome, terrain: k.terrain, way: p.aids.way, ...(p.aids.tie && p.aids.tie !== "none" ? { tie: p.aids.tie } : { tie: "none" }), ...(m === null ? {} : { minutes: m }) },
        [k.name, k.side_words, outcome, `help ${help}`].filter(Boolean).join(", "), id).then((ok) => { if (ok) { k.help = help; void counted(student, k, outcome); } });
    };
    return [title(upper(k.name), [k.side_words, `help ${help}`].filter(Boolean).join(" · ")), para(k.pass, "quiet"),
      buttons(button("Clean", () => tap("clean"), { id: "clean" }), button("Partly", () => tap("partly")), button("Miss", () => tap("miss")))];
  },
  fall() {
    const student = view.student!;
    return [title("Fall or stop"), buttons(button("Fall", () => go({ name: "hurt", student, id: uuid() }), { kind: "alarm" }), button("Stop the lesson", () => go({ name: "stop", student, id: uuid(), page: 0 }), { kind: "alarm" }))];
  },
  hurt() {
    const { student, id } = view as Required<View>;
    const tap = (hurt: string) => { go(hurt === "no" ? { name: "person", student } : { name: "patrol", student }, true); void save(student, "snow", { event: "fall", hurt, ...mins(student) }, hurt === "no" ? "fall, not hurt" : "fall", id); };
    return [title("Fall"), para("Ask what hurts before moving. Guard uphill. Never pull arms.", "key"), buttons(button("Not hurt", () => tap("no")), button("Hurt", () => tap("yes"), { kind: "alarm" }), button("Not sure", () => tap("unknown"), { kind: "alarm" }))];
  },
  patrol: () => [title("Patrol"), para("Any head strike, neck pain, shunt sign or odd numbness: patrol, no trial run.", "stop"), para("Look: breathing, talking, same as before? Guard uphill with crossed skis. Keep warm.", "key"), ...contacts()],
  stop() {
    const { student, id, page } = view as Required<View>;
    const all = run.pack?.stop_reasons ?? [["said_stop", "Student says stop"], ["pain", "Pain"], ["skin", "Numb or white skin"], ["cold", "Too cold"], ["tired", "Tired"], ["unease", "Lead's unease"]];
    return [title("Stop: why?"), buttons(...all.slice(page * 5, page * 5 + 5).map(([r, words]) => button(words!, () => { go({ name: "stopped", student }, true); void save(student, "snow", { event: "stop", reason: r, ...mins(student) }, "stop, " + words!.toLowerCase(), id); })),
      button(page * 5 + 5 < all.length ? "More reasons" : "First reasons", () => go({ name: "stop", student, id, page: page * 5 + 5 < all.length ? page + 1 : 0 }, true)))];
  },
  stopped: () => [title("Stopped"), para("The lesson ends here. Sit, warm, look at the feet. Lift staff and patrol know what is local.", "key"), ...contacts(), buttons(button("To the person", () => go({ name: "person", student: view.student! }, true)))],
  more() {
    const student = view.student!, to = (name: string, words: string, small = "") => button(words, () => go({ name, student, id: uuid() }), { small });
    return [title("More"), buttons(to("read", "30-second read"), to("setup", "Set-up and plan"), to("timers", "Timers", minutesWords(student)), to("note", "Note"), to("glide", "Timed glide"), to("rest", "Other"))];
  },
  rest() {
    const student = view.student!, to = (name: string, words: string) => button(words, () => go({ name, student, id: uuid() }));
    return [title("Other"), buttons(to("near", "Near miss"), to("finding", "A finding changed"), to("cold", "Cold now"), to("fan", "Fan on a slope"), to("snow", "Snow of today"))];
  },
  read() {
    const p = full();
    if (!p) return [title("30-second read"), para("Locked. Contact with the server opens it.", "stop")];
    if (!p.card) return [title(p.name), para(p.why || "There is no card yet.", "key")];
    const c = p.card;
    return [title(p.name, c.goal), c.hold ? h("div", { class: "stop" }, h("p", {}, c.hold.kind === 1 ? "No standing today" : "No skiing today"), para(c.hold.instead)) : null, h("h2", {}, "Stop rules"),
      h("ul", {}, c.stop_word ? h("li", {}, "Stop word: " + c.stop_word) : null, ...(c.cautions ?? []).map((l) => h("li", {}, l.label ? h("strong", {}, l.label + ": ") : null, l.text))),
      ...startHere([c.plan.terrain, c.plan.help && "Help: " + c.plan.help, c.plan.helpers && "Helpers: " + c.plan.helpers, c.plan.block.number && `Rest after ${c.plan.block.number} ${c.plan.block.unit ?? "min"}`]),
      ...(c.handover?.length ? [h("h2", {}, "Handover"), list(c.handover)] : []), ...contacts()];
  },
  setup() {
    const c = full()?.card;
    if (!c) return [title("Set-up and plan"), para(full()?.why || "Locked, or no card yet.", "key")];
    if (c.hold) return [title("Set-up and plan"), para("Nothing is set up while there is a hold.", "stop"), h("ul", {}, ...c.hold.needed.map((n) => h("li", {}, `${n.what}: ${n.from}`)))];
    return [title("Set-up", c.set_up.way), h("table", {}, h("thead", {}, h("tr", {}, h("th", {}, ""), h("th", { scope: "col" }, "Left"), h("th", { scope: "col" }, "Right"))),
      h("tbody", {}, ...(c.set_up.sided ?? []).map((r) => h("tr", {}, h("th", { scope: "row" }, r.label), h("td", {}, value(r.left)), h("td", {}, value(r.right)))), ...(c.set_up.shared ?? []).map((r) => h("tr", {}, h("th", { scope: "row" }, r.label), h("td", { colspan: "2" }, value(r.value)))))),
      h("h2", {}, "Plan"), h("dl", {}, ...pair("Fan, turns left", value(c.plan.fan_left)), ...pair("Fan, turns right", value(c.plan.fan_right)), ...pair("On snow, then rest", [value(c.plan.block), value(c.plan.rest)].filter(Boolean).join(", then ")), ...pair("Terrain", c.plan.terrain), ...pair("Help", c.plan.help), ...pair("Helpers", c.plan.helpers)), list(c.plan.more),
      para("The binding is set by a certified technician. Lift staff, patrol and local rules come first.", "quiet")];
  },
  timers() {
    const student = view.student!, p = full(), t = timers[student];
    const check = (what: string, words: string) => button(words, () => { go({ name: "check", student, id: uuid(), finding: what }); });
    return [title("Timers", minutesWords(student)), t ? null : para("Not started."), p?.block_min ? para(`Rest after ${p.block_min} min at the latest.`, "key") : null, p?.feet_check_min ? para(`Look at the feet every ${p.feet_check_min} min.`, "key") : null,
      buttons(button(t ? "Start again" : "Start the lesson", () => { timers[student] = { start: Date.now(), skin: Date.now(), rest: Date.now(), cold: Date.now() }; void keepTimers(); render(); }), check("skin", "Skin looked at"), check("rest", "Rested"), check("cold", "Warmth checked"))];
  },
  check() {
    const { student, id, finding: what } = view as Required<View>;
    const tap = (found: string) => { const t = timers[student]; if (t) { t[what as "skin" | "rest" | "cold"] = Date.now(); void keepTimers(); } go(found === "fine" ? { name: "person", student } : { name: "stopped", student }, true); void save(student, "snow", { event: "check", reason: what, found, ...mins(student) }, `${what} check: ${found}`, id); };
    return [title(what === "skin" ? "Skin" : what === "rest" ? "Rest" : "Cold"), buttons(button("Fine", () => tap("fine")), button("Not fine", () => tap("not fine"), { kind: "alarm" }))];
  },
  note() {
    const { student, id } = view as Required<View>, key = "draft note " + student;
    return [title("Note", who()?.code), form(key, [["text", "What should the next instructor know?", "area"]], "Save the note", async (v) => {
      if (!v.text) return "Write the note first.";
      return (await save(student, "note", { class: "work", about: "lesson", text: v.text }, "note", id)) ? "" : whyNot();
    }, student), para("What to do and what was seen; no diagnosis.", "quiet")];
  },
  near() {
    const { student, id } = view as Required<View>;
    return [title("Near miss"), para("Known facts only, nobody's fault."), form("draft near " + student, [["what", "What could have happened?", "area"], ["where", "Where?", "line"], ["stopped_by", "What stopped it?", "line"]], "Save the near miss", async (v) => {
      if (!v.what && !v.where) return "Write what it was, or where.";
      return (await save(student, "snow", { event: "near_miss", ...(v.where ? { where: v.where } : {}), ...(v.what ? { what: v.what } : {}), ...(v.stopped_by ? { stopped_by: v.stopped_by } : {}), ...mins(student) }, "near miss", id)) ? "" : whyNot();
    }, student)];
  },
  glide() {
    const { student, id } = view as Required<View>, slopes = run.pack?.slopes ?? [];
    if (!slopes.length) return [title("Timed glide"), para("No slope of the programme's hill is on this phone, so a glide has no gradient.")];
    const slope = slopes.find((o) => o.slope === view.slope);
    if (!slope) return [title("Timed glide"), para("On which slope?"), buttons(...slopes.map((o) => button(o.name, () => go({ name: "glide", student, id, slope: o.slope }, true), { small: `${o.gradient_pct.toFixed(0)} %` })))];
    const say = watch.took ? `${watch.took.toFixed(1)} s` : watch.from ? "running" : "0.0 s";
    const step = (d: number) => button(d < 0 ? "5 m less" : "5 m more", () => { watch.length = Math.max(5, watch.length + d); render(); });
    return [title("Timed glide", `${slope.name}, ${slope.gradient_pct.toFixed(0)} %`), h("p", { class: "number", id: "watch" }, say), para(`Flat skis, straight down, from rest, over ${watch.length} m.`),
      buttons(watch.from ? button("Stop", () => { watch.took = (performance.now() - watch.from) / 1000; watch.from = 0; navigator.vibrate?.(30); render(); }, { kind: "alarm", id: "watch-stop" }) : button("Start", () => { watch.from = performance.now(); watch.took = 0; render(); }, { id: "watch-start" }), step(-5), step(5),
        watch.took >= 0.5 ? button("Save the time", () => { const took = Math.round(watch.took * 10) / 10; watch.took = 0; go({ name: "person", student }, true);
          void save("", "glides", { day: local(new Date()).slice(0, 10), slope: slope.slope, length_m: watch.length, gradient_pct: round(slope.gradient_pct), gradient_sd_pct: round(slope.gradient_sd_pct), start_m_s: 0, mass_kg: full(student)?.mass_kg || 75, watch_sd_s: 0.2, times_s: [took] }, `glide, ${took} s`, id); }, { id: "watch-save" }) : null)];
  },
  outbox() {
    const s = run.s, aside = s.rows.filter((r) => r.state === "set_aside"), held = heldFor(s);
    return [title("Outbox"), para(`${waiting(s) - s.unsaved.length} saved on this phone only. ${s.rows.filter((r) => r.state === "sent").length} sent.`, "key"), held ? para(`${held} of somebody else's wait for their sign-in.`) : null,
      s.meta.ending === "done" ? para("Done for today: what is left is being sent and checked.", "key") : null,
      aside.length ? h("h2", {}, "Set aside") : null, ...aside.map((r) => h("div", { class: "aside" }, para(`${r.item.kind}, ${r.item.made_at.slice(11, 16)}: ${r.sentence || (r.code === "too_big" ? "It is too long to be sent." : r.code)}`), para(r.item.author === s.meta.person ? r.item.payload.slice(0, 300) : "Somebody else's", "quiet"))),
      buttons(button("Send now", () => run.happens({ kind: "nudge" })), button("Done for today", () => { run.happens({ kind: "finish" }); render(); }, { small: "sends, checks, clears" }), waiting(s) ? button("Save as a file", exportFile) : null,
        aside.length ? button("Try again", () => run.happens({ kind: "release", ids: aside.map((r) => r.item.id) })) : null)];
  },
  finding: () => engine.findingView(full(), view.finding, (f) => go({ ...view, finding: f }), (payload, words) => { const { student, id } = view as Required<View>; void save(student, "finding", payload, words, id); }),
  cold: () => engine.coldView(full(), run.pack),
  fan: () => engine.fanView(full(), run.pack, view.slope, (slope) => go({ ...view, slope })),
  snow: () => engine.snowView(run.s, run.pack),
};

const round = (v: number) => Math.round(v * 100) / 100;
const watch = { from: 0, took: 0, length: 20 };
const list = (lines: { label: string; text: string }[] | null) => (lines?.length ? h("ul", {}, ...lines.map((l) => h("li", {}, l.label ? h("strong", {}, l.label + ": ") : null, l.text))) : null);
const pair = (label: string, words: string) => (words ? [h("dt", {}, label), h("dd", {}, words)] : []);
const startHere = (lines: (string | undefined)[]) => { const said = lines.filter(Boolean) as string[]; return said.length ? [h("h2", {}, "Start here"), h("ul", {}, ...said.map((t) => h("li", {}, t)))] : []; };
const contacts = () => { const c = full()?.card?.contacts?.filter((l) => !/^_+$/.test(l.text)); return c?.length ? [h("h2", {}, "Contacts"), list(c)] : []; };
const link = (words: string, to: string) => h("a", { class: "button", href: to }, words);
function value(v: Value): string {
  const unit = v.unit ? (v.unit === "°" ? "°" : " " + v.unit) : "";
  if (v.number) return v.number + unit + (v.low ? ` (${v.low} to ${v.high})` : "");
  return v.words ?? (v.measure ? "measure: " + v.measure : "");
}

// form is a few fields whose text is kept as it is typed, until it is saved.
function form(key: string, fields: [string, string, "area" | "line"][], words: string, submit: (v: Record<string, string>) => Promise<string>, student: string): HTMLElement {
  const inputs = new Map<string, HTMLTextAreaElement | HTMLInputElement>();
  let timer = 0;
  const values = () => Object.fromEntries([...inputs].map(([k, e]) => [k, e.value.trim()]));
  const keep = () => { clearTimeout(timer); timer = window.setTimeout(() => void run.store.keep(key, values()).catch(() => undefined), 150); };
  const problem = h("p", { class: "stop", role: "alert", hidden: true });
  const f = h("form", { novalidate: true, submit: (e) => { e.preventDefault(); void send(); } }, problem, ...fields.map(([name, label, what]) => {
    const i = h(what === "area" ? "textarea" : "input", { name, id: "f-" + name, rows: what === "area" ? "5" : undefined, input: keep }) as HTMLTextAreaElement;
    inputs.set(name, i);
    return h("p", {}, h("label", { for: "f-" + name }, label), i);
  }), h("div", { class: "buttons" }, h("button", { type: "submit", id: "submit" }, h("span", {}, words))));
  let busy = false;
  async function send() {
    if (busy) return;
    busy = true;
    clearTimeout(timer);
    const wrong = await submit(values());
    busy = false;
    if (wrong) { problem.hidden = false; problem.textContent = wrong; return; }
    await run.store.forget(key).catch(() => undefined);
    go({ name: "person", student }, true);
  }
  void run.store.text<Record<string, string>>(key).then((v) => { for (const [k, t] of Object.entries(v ?? {})) { const i = inputs.get(k); if (i && !i.value) i.value = t; } }).catch(() => undefined);
  return f;
}

function exportFile(): void {
  const s = run.s, items = [...s.rows.filter((r) => r.state !== "sent" && r.item.author === s.meta.person).map((r) => r.item), ...s.unsaved.filter((p) => p.item.author === s.meta.person).map((p) => p.item)];
  const made = local(new Date());
  const text = JSON.stringify({ firnhand: "outbox", exchange: 1, device: s.meta.device, made_at: made, items }, null, 1);
  const a = h("a", { href: URL.createObjectURL(new Blob([text], { type: "application/json" })), download: `firnhand-outbox-${made.slice(0, 16).replace(/[:T]/g, "-")}.json` }) as HTMLAnchorElement;
  a.click();
  run.happens({ kind: "filed", ids: items.map((i) => i.id) });
  toast = { words: `${items.length} items are in a file on this phone. It says what they say in the clear: hand it over, then delete it.` };
  render();
}

// Timers of each lesson, kept on the phone.
interface Timer { start: number; skin: number; rest: number; cold: number }
let timers: Record<string, Timer> = {};
const keepTimers = () => run.store.keep("timers", timers).catch(() => undefined);
const minutes = (student: string) => { const t = timers[student]; const m = t ? Math.floor((Date.now() - t.start) / 60000) : -1; return m >= 0 && m <= 600 ? m : null; };
const mins = (student: string) => { const m = minutes(student); return m === null ? {} : { minutes: m }; };
const minutesWords = (student: string) => { const m = minutes(student); return m === null ? "" : `${m} min`; };
let warned = "";
function due(student: string): HTMLElement | null {
  const t = timers[student], p = full(student), words: string[] = [];
  if (!t || !p) return null;
  const since = (from: number) => (Date.now() - from) / 60000;
  if (p.feet_check_min && since(t.skin) >= p.feet_check_min) words.push("Look at the feet now");
  if (p.block_min && since(t.rest) >= p.block_min) words.push("Rest now");
  if (p.known_min && since(t.start) >= 0.8 * p.known_min) words.push(`Near the ${p.known_min} min after which quality drops: hard things are over`);
  const all = words.join(". ");
  if (all && all !== warned) { warned = all; navigator.vibrate?.([80, 60, 80]); }
  return all ? h("p", { class: "stop", role: "status" }, all + ".") : null;
}

async function counted(student: string, k: Skill, outcome: string): Promise<void> {
  const says = await engine.advise(full(student), k, outcome, run.s);
  if (says) { k.advice = says.why; if (says.help >= 0) k.help = says.help; render(); }
}

// The screen stays awake while somebody's page is open, where the phone lets it.
async function awake(): Promise<void> {
  try { if (!document.hidden) await navigator.wakeLock?.request("screen"); } catch { /* the phone decides */ }
}

async function begin(): Promise<void> {
  history.replaceState(view, "");
  render();
  await run.start();
  timers = (await run.store.text<Record<string, Timer>>("timers").catch(() => null)) ?? {};
  render();
  document.documentElement.dataset.ready = String(Math.round(performance.now()));
  setInterval(() => { if (!document.hidden && ["person", "timers"].includes(view.name)) render(); }, 20000);
  document.addEventListener("visibilitychange", () => void awake());
  addEventListener("pointerdown", () => void awake(), { once: true });
  if ("serviceWorker" in navigator) {
    const r = await navigator.serviceWorker.register("/phone/sw.js", { scope: "/phone/" }).catch(() => null);
    const offer = (w: ServiceWorker | null) => { if (w && navigator.serviceWorker.controller) { toast = { words: "A new version is here. It starts the next time this page is opened; what you type is kept." }; say(); } };
    offer(r?.waiting ?? null);
    r?.addEventListener("updatefound", () => { const w = r.installing; w?.addEventListener("statechange", () => { if (w.state === "installed") offer(w); }); });
  }
  setTimeout(() => void loadEngine(), 1500); // after the page is usable
}

Object.assign(window, { firnhand: run });
void begin();
