// The panel beside a test follows what is typed, before it is saved. The
// server draws it; without this script it is drawn with each page.
const form = document.querySelector('form[data-panel]');
let asked = 0;
let wait = 0;

async function refresh() {
  const turn = ++asked;
  const body = new URLSearchParams(new FormData(form));
  body.set('test', form.dataset.test);
  try {
    const answer = await fetch(form.dataset.panel, { method: 'POST', body, headers: { 'X-Part': 'panel' } });
    if (!answer.ok || turn !== asked) return;
    const parsed = new DOMParser().parseFromString(await answer.text(), 'text/html');
    const fresh = parsed.getElementById('panel');
    const old = document.getElementById('panel');
    if (!fresh || !old) return;
    const open = old.querySelector('details')?.open;
    if (open && fresh.querySelector('details')) fresh.querySelector('details').open = true;
    // The sentence that is read out stays in the page, so that its change is heard.
    const said = old.querySelector('[role=status]');
    const says = fresh.querySelector('[role=status]').textContent;
    fresh.querySelector('[role=status]').replaceWith(said);
    old.replaceChildren(...fresh.children);
    if (said.textContent !== says) said.textContent = says;
  } catch {
    // No answer: the panel stays as it was and the page works on.
  }
}

if (form) {
  form.addEventListener('input', () => {
    clearTimeout(wait);
    wait = setTimeout(refresh, 150);
  });
}
