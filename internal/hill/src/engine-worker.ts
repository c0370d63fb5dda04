// Runs the engine. Go's own support script comes first in the bundle.
declare const Go: new () => { importObject: WebAssembly.Imports; run(i: WebAssembly.Instance): Promise<void> };
interface Ask { n: number; wasm?: string; what?: string; question?: unknown }

onmessage = async (e: MessageEvent<Ask>) => {
  const { n, wasm, what, question } = e.data;
  const tell = (ok: boolean, value: unknown) => postMessage({ n, ok, value });
  try {
    if (wasm) {
      const go = new Go();
      const { instance } = await WebAssembly.instantiateStreaming(fetch(wasm), go.importObject);
      void go.run(instance);
      tell(true, "");
      return;
    }
    const answer = JSON.parse((globalThis as unknown as { firnhandEngine(what: string, q: string): string }).firnhandEngine(what!, JSON.stringify(question))) as { error?: string; value?: unknown };
    tell(!answer.error, answer.error ?? answer.value);
  } catch (err) {
    tell(false, String(err));
  }
};
