// The day's pack, as internal/web/phone makes it.
export interface Aids { way: string; tie: string; words: string; route_left: string; route_right: string }
export interface Skill { skill: string; name: string; side: string; side_words: string; help: number; least_help: number; terrain: string; pass: string; row: number; advice: string }
export interface Value { number?: string; words?: string; measure?: string; unit?: string; low?: string; high?: string }
export interface Line { label: string; text: string }
export interface Card {
  first_name: string; lesson_code: string; goal: string; stop_word: string; cautions: Line[] | null; hold?: { kind: number; needed: { what: string; from: string }[]; instead: string };
  set_up: { way: string; sided: { label: string; left: Value; right: Value }[] | null; shared: { label: string; value: Value }[] | null };
  plan: { fan_left: Value; fan_right: Value; block: Value; rest: Value; terrain: string; help: string; helpers: string; more: Line[] | null };
  handover: Line[] | null; contacts: Line[] | null;
}
export interface Person {
  student: string; name: string; code: string; why: string; card: Card | null; aids: Aids; lesson: string; skills: Skill[];
  findings: { finding: string; side: string; state: string; value: string }[]; held: string[]; cleared: string[]; history: unknown[];
  block_min: number; feet_check_min: number; wind_chill_stop: number; known_min: number; mass_kg: number;
}
export interface Pack {
  form: number; day: string; name: string; levels: { level: number; name: string; means: string }[]; stop_reasons: [string, string][]; people: Person[];
  slopes: { slope: string; name: string; gradient_pct: number; gradient_sd_pct: number }[]; hours: { time: string; air_c: number; wind_m_s: number }[]; snow: string;
}
// Stub is what stays when the day is locked: enough to record, nothing to read.
export interface Stub { student: string; code: string; aids: Aids; skills: Skill[]; lesson: string }
