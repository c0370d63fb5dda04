// Passkeys: asks the server for a question, the browser for the answer, and
// sends it back. Without script, or in a browser that has no passkeys, the
// buttons stay hidden and the password serves.
const can = window.PublicKeyCredential && PublicKeyCredential.parseRequestOptionsFromJSON && PublicKeyCredential.parseCreationOptionsFromJSON;

async function send(to, body) {
  const answer = await fetch(to, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify(body ?? {}),
  });
  const said = await answer.json();
  if (!answer.ok) throw new Error(said.sentence);
  return said;
}

async function use(part, ceremony) {
  const status = part.querySelector('[role=status]');
  const button = part.querySelector('button');
  button.disabled = true;
  status.textContent = 'Waiting for this device.';
  try {
    const done = await ceremony();
    location.assign(done.to);
  } catch (e) {
    status.textContent = e.name === 'Error' && e.message ? e.message : 'No passkey was used. Try again, or use your password.';
    button.disabled = false;
  }
}

for (const part of document.querySelectorAll('[data-passkey]')) {
  if (!can) continue;
  part.hidden = false;
  part.querySelector('button').addEventListener('click', () => use(part, async () => {
    if (part.dataset.passkey === 'enter') {
      const q = await send('/sign-in/passkey/ask');
      const got = await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(q.question.publicKey) });
      return send('/sign-in/passkey', { asked: q.asked, answer: got.toJSON() });
    }
    const q = await send('/me/passkeys/ask');
    const made = await navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(q.question.publicKey) });
    return send('/me/passkeys', { asked: q.asked, answer: made.toJSON(), name: '' });
  }));
}
