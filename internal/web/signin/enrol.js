// Puts the code behind the # of the address into the form, and takes it out of
// the address, so that it stays in no history.
const box = document.getElementById('code');
const code = decodeURIComponent(location.hash.slice(1));
if (box && /^[0-9a-z-]{10,40}$/.test(code)) {
  box.value = code;
  history.replaceState(null, '', location.pathname);
}
