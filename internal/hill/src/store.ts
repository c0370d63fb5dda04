// What the phone keeps, in IndexedDB: each effect of the machine is one
// transaction, with the rules of exchange.Disk. What an item or the pack says
// is sealed with AES-GCM under a key that cannot leave the browser: that hides
// it from whoever copies the disk, not from whoever holds an unlocked page.
import { afterTurn, afterWipe, applyMark, noMeta } from "./machine";
import type { Effect, Item, Meta, Patch, Pending, Row, Snapshot } from "./types";

const name = "firnhand-phone";
const version = 1;
interface Sealed { iv: Uint8Array<ArrayBuffer>; data: ArrayBuffer }
interface Kept extends Omit<Row, "item" | "n"> { n?: number; id: string; author: string; sealed: Sealed }
export class Full extends Error {}

const done = (t: IDBTransaction) => new Promise<void>((ok, no) => {
  t.oncomplete = () => ok();
  t.onabort = () => no(t.error ?? new Error("aborted"));
});
const got = <T>(r: IDBRequest<T>) => new Promise<T>((ok, no) => { r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error); });

export function uuid(): string {
  const b = crypto.getRandomValues(new Uint8Array(16));
  let ms = Date.now();
  for (let i = 5; i >= 0; i--) { b[i] = ms % 256; ms = Math.floor(ms / 256); }
  b[6] = (b[6]! & 0x0f) | 0x70;
  b[8] = (b[8]! & 0x3f) | 0x80;
  const h = hex(b);
  return `${h.slice(0, 8)}-${h.slice(8, 12)}-${h.slice(12, 16)}-${h.slice(16, 20)}-${h.slice(20)}`;
}

export const hex = (b: Uint8Array) => [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
const bytes = new TextEncoder();
export const size = (s: string) => bytes.encode(s).length;

// sumOf is exchange.SumOf.
export async function sumOf(i: Item): Promise<string> {
  const parts = [i.id, i.author, i.student, i.kind, String(i.version), i.payload, i.names].map((p) => `${size(p)}:${p}`).join("");
  return hex(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes.encode(parts))).slice(0, 16));
}

export class Store {
  private db!: IDBDatabase;
  private key!: CryptoKey;
  secret = "";
  onclosed: () => void = () => undefined;
  onchanged: () => void = () => undefined;
  private others = new BroadcastChannel("firnhand-phone");

  constructor() { this.others.onmessage = () => this.onchanged(); }

  async open(): Promise<void> {
    const r = indexedDB.open(name, version);
    r.onupgradeneeded = () => {
      const db = r.result;
      db.createObjectStore("meta");
      db.createObjectStore("keys");
      db.createObjectStore("texts");
      db.createObjectStore("rows", { keyPath: "n", autoIncrement: true }).createIndex("id", "id", { unique: true });
    };
    this.db = await got(r);
    this.db.onversionchange = () => { this.db.close(); this.onclosed(); };
    this.db.onclose = () => this.onclosed();
    let key = await got(this.db.transaction("keys").objectStore("keys").get("key")) as CryptoKey | undefined;
    if (!key) {
      const made = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
      const t = this.write("keys");
      const had = await got(t.objectStore("keys").get("key")) as CryptoKey | undefined;
      if (!had) t.objectStore("keys").put(made, "key");
      await done(t);
      key = had ?? made;
    }
    this.key = key;
  }

  private write(...stores: string[]) { return this.db.transaction(stores, "readwrite", { durability: "strict" }); }
  private changed() { this.others.postMessage(1); }

  private async seal(v: unknown): Promise<Sealed> {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    return { iv, data: await crypto.subtle.encrypt({ name: "AES-GCM", iv }, this.key, bytes.encode(JSON.stringify(v))) };
  }

  private async unseal<T>(s: Sealed): Promise<T> {
    return JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt({ name: "AES-GCM", iv: s.iv }, this.key, s.data))) as T;
  }

  private async row(k: Kept): Promise<Row> {
    const { id: _id, author: _author, sealed, ...rest } = k;
    return { ...rest, n: k.n!, item: await this.unseal<Item>(sealed) };
  }

  async read(tally: number): Promise<Snapshot> {
    const t = this.write("meta");
    const store = t.objectStore("meta");
    let meta = await got(store.get("meta")) as Meta | undefined;
    let secret = await got(store.get("secret")) as string | undefined;
    const fresh = !meta;
    if (!meta || !secret) {
      meta = { ...noMeta(), ...meta, device: uuid() };
      secret = hex(crypto.getRandomValues(new Uint8Array(32)));
      store.put(meta, "meta");
      store.put(secret, "secret");
    }
    await done(t);
    this.secret = secret;
    const kept = await got(this.db.transaction("rows").objectStore("rows").getAll()) as Kept[];
    return { fresh, tally, meta, rows: await Promise.all(kept.map((k) => this.row(k))) };
  }

  // put answers the rows, or why they are not stored.
  async put(epoch: number, items: Pending[]): Promise<Row[] | "turned"> {
    const sealed = await Promise.all(items.map((p) => this.seal(p.item)));
    const t = this.write("meta", "rows");
    const meta = await got(t.objectStore("meta").get("meta")) as Meta;
    if (items.some((p) => meta.epoch !== epoch || meta.person !== p.item.author || !p.item.author)) { t.abort(); return "turned"; }
    const rows: Row[] = [], store = t.objectStore("rows");
    for (const [i, p] of items.entries()) {
      const had = await got(store.index("id").get(p.item.id)) as Kept | undefined;
      const blank = { size: p.size, state: "kept" as const, seq: 0, code: "", sentence: "", build: "", exported: false };
      if (had) { const { id: _i, author: _a, sealed: _s, ...rest } = had; rows.push({ ...rest, n: had.n!, item: p.item }); continue; }
      const n = await got(store.add({ ...blank, id: p.item.id, author: p.item.author, sealed: sealed[i]! } satisfies Kept)) as number;
      rows.push({ ...blank, n, item: p.item });
    }
    await done(t);
    this.changed();
    return rows;
  }

  async marks(e: Effect): Promise<void> {
    const t = this.write("rows"), store = t.objectStore("rows");
    for (const m of e.marks ?? []) {
      const k = await got(store.index("id").get(m.id)) as Kept | undefined;
      if (!k) continue;
      const { item: _item, ...rest } = applyMark(m, { ...k, n: k.n!, item: {} as Item });
      store.put({ ...k, ...rest });
    }
    await done(t);
    this.changed();
  }

  private async amendIn(t: IDBTransaction, e: Effect, change: (m: Meta) => Meta): Promise<boolean> {
    const meta = await got(t.objectStore("meta").get("meta")) as Meta;
    if (meta.epoch !== (e.epoch ?? 0)) return false;
    t.objectStore("meta").put(change(meta), "meta");
    return true;
  }

  async amend(e: Effect): Promise<void> {
    const t = this.write("meta");
    await this.amendIn(t, e, (m) => (m.person === (e.person ?? "") ? { ...m, ...(e.patch as Patch) } : m));
    await done(t);
  }

  async turn(e: Effect): Promise<boolean> {
    const t = this.write("meta", "texts");
    const ok = await this.amendIn(t, e, (m) => afterTurn(m, e.person ?? ""));
    if (ok) t.objectStore("texts").clear();
    await done(t);
    this.changed();
    return ok;
  }

  async keepPack(e: Effect, pack: unknown, list: unknown): Promise<void> {
    const [p, l] = await Promise.all([this.seal(pack), this.seal(list)]);
    const t = this.write("meta", "texts");
    let same = false;
    await this.amendIn(t, e, (m) => { same = m.person === (e.person ?? ""); return same ? { ...m, ...(e.patch as Patch) } : m; });
    if (same) { t.objectStore("texts").put(p, "pack"); t.objectStore("texts").put(l, "list"); }
    await done(t);
    this.changed();
  }

  async dropPack(all: boolean): Promise<void> {
    const t = this.write("texts");
    t.objectStore("texts").delete("pack");
    if (all) t.objectStore("texts").clear();
    await done(t);
  }

  async wipe(e: Effect): Promise<boolean> {
    const t = this.write("meta", "rows", "texts", "keys"), rows = t.objectStore("rows");
    const meta = await got(t.objectStore("meta").get("meta")) as Meta;
    const all = await got(rows.getAll()) as Kept[];
    const mine = all.filter((k) => e.all || k.author === (e.person ?? ""));
    if (meta.epoch !== (e.epoch ?? 0) || mine.some((k) => !(e.ids ?? []).includes(k.id))) { t.abort(); return false; }
    for (const k of mine) rows.delete(k.n!);
    t.objectStore("texts").clear();
    const after = afterWipe(meta);
    if (e.all) {
      t.objectStore("meta").put({ ...after, device: uuid() }, "meta");
      t.objectStore("meta").put(hex(crypto.getRandomValues(new Uint8Array(32))), "secret");
    } else t.objectStore("meta").put(after, "meta");
    const key = mine.length === all.length;
    if (key) t.objectStore("keys").clear(); // nothing is left that it could open
    await done(t);
    if (key) await this.newKey();
    this.changed();
    return true;
  }

  private async newKey() {
    this.key = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
    const t = this.write("keys");
    t.objectStore("keys").put(this.key, "key");
    await done(t);
  }

  // text keeps something sealed under a name: the pack, a draft, the timers.
  async keep(k: string, v: unknown): Promise<void> {
    const s = await this.seal(v);
    const t = this.write("texts");
    t.objectStore("texts").put(s, k);
    await done(t);
  }

  async text<T>(k: string): Promise<T | null> {
    const s = await got(this.db.transaction("texts").objectStore("texts").get(k)) as Sealed | undefined;
    return s ? this.unseal<T>(s).catch(() => null) : null;
  }

  async forget(k: string): Promise<void> {
    const t = this.write("texts");
    t.objectStore("texts").delete(k);
    await done(t);
  }
}
