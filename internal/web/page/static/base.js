// Small helps that every page has. Each page works without them.

// The list of problems gets the focus, so that it is read out first.
const problems = document.getElementById('problems');
if (problems) problems.focus();

// A second press on a button that is already sending does nothing. The server
// would answer it alike; this only spares the wait.
document.addEventListener('submit', (event) => {
  const form = event.target;
  if (form.dataset.sending) {
    event.preventDefault();
    return;
  }
  form.dataset.sending = 'yes';
  const button = event.submitter;
  if (button && !button.classList.contains('plain')) {
    const status = document.createElement('span');
    status.className = 'sending';
    status.setAttribute('role', 'status');
    status.textContent = 'Saving';
    button.after(status);
  }
});

// Back in the browser shows a page that can be sent again.
window.addEventListener('pageshow', () => {
  for (const form of document.querySelectorAll('form[data-sending]')) {
    delete form.dataset.sending;
    for (const status of form.querySelectorAll('.sending')) status.remove();
  }
});

// Writing a number unticks "not tested", and ticking it empties the number.
document.addEventListener('input', (event) => {
  const box = event.target;
  const field = box.closest('.field, td, .side-box');
  if (!field || !box.name) return;
  if (box.type === 'text' && box.value.trim() !== '') {
    for (const tick of field.querySelectorAll('input[type=checkbox]')) {
      if (tick.name === box.name) tick.checked = false;
    }
  }
  if (box.type === 'checkbox' && box.checked) {
    for (const other of field.querySelectorAll('input')) {
      if (other === box || other.name !== box.name) continue;
      if (other.type === 'checkbox') other.checked = false;
      if (other.type === 'text') other.value = '';
    }
  }
});
