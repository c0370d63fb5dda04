// What phone and server exchange, as in internal/exchange.
export interface Item { id: string; author: string; student: string; kind: string; version: number; payload: string; names: string; made_at: string; sum: string }
export type RowState = "kept" | "sent" | "set_aside";
export interface Row { n: number; item: Item; size: number; state: RowState; seq: number; code: string; sentence: string; build: string; exported: boolean }
export interface Mark { id: string; state: RowState; seq: number; code: string; sentence: string; build: string; exported: boolean; again: boolean }
export interface Meta { device: string; epoch: number; person: string; contact: number; offset: number; offset_known: boolean; lock_after: number; locked: boolean; ending: string; build: string; pack: string; pack_at: number }
export type Patch = Partial<Meta>;
export interface Snapshot { fresh: boolean; tally: number; meta: Meta; rows: Row[] }
export interface Pending { item: Item; size: number }
export interface Result { id: string; outcome: string; seq: number; code: string; sentence: string }
export interface Answer { firnhand: string; exchange: number; echo: string; code: string; sentence: string; person: string; at: number; build: string; lock_after: number; results: Result[] | null; sums: Record<string, string> | null; pack: string; day?: unknown }
export interface Happening { kind: string; wall: number; mono: number; no: number; snapshot?: Snapshot; item?: Item; size?: number; rows?: Row[]; ids?: string[]; why?: string; answer?: Answer | null }
export interface Effect { kind: string; epoch?: number; no?: number; items?: Pending[]; marks?: Mark[]; patch?: Patch; person?: string; ids?: string[]; all?: boolean; timeout_ms?: number; at?: number; say?: string; count?: number; sentence?: string }
export interface Phone {
  mode: string; meta: Meta; rows: Row[]; unsaved: Pending[]; no: number; asked: string[]; sent_mono: number; last_try: number; retry_at: number; tries: number;
  room: number; stalled: boolean; turned: boolean; behind: boolean; checked: string[]; why: string; lost: number; wall: number; mono: number;
}
export interface Way { if: string; do: string[] | null; to: string }
export interface Cell { do: string[] | null; ways: Way[] }
export type Table = Record<string, Record<string, Cell>>;
export interface Limits { max_payload: number; max_items: number; room_first: number; room_least: number; room_most: number; envelope: number; min_gap: number; long_wait: number; pack_age: number; clock_off: number }
