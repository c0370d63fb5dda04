// Elements, without markup from strings: what is shown is always text.
type Child = Node | string | null | undefined | false;
type Props = Record<string, string | boolean | ((e: Event) => void) | undefined>;

export function h(tag: string, props: Props = {}, ...children: (Child | Child[])[]): HTMLElement {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(props)) {
    if (v === undefined || v === false) continue;
    if (typeof v === "function") e.addEventListener(k, v);
    else if (v === true) e.setAttribute(k, "");
    else e.setAttribute(k, v);
  }
  for (const c of children.flat()) if (c) e.append(c);
  return e;
}

// button acts on release, and once: a glove that bounces taps nothing twice.
export function button(words: string, act: () => void, more: { small?: string; kind?: string; id?: string } = {}): HTMLElement {
  let last = -1e9;
  return h("button", { type: "button", class: more.kind, id: more.id, click: () => { const now = performance.now(); if (now - last > 400) { last = now; act(); } } },
    h("span", {}, words), more.small ? h("small", {}, more.small) : null);
}

export const buttons = (...b: (HTMLElement | null)[]) => h("div", { class: "buttons" }, ...b);
