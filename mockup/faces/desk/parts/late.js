// A picture that may come late: what was shown stays until the next is there, and the next is asked
// for only once changes have paused, so that the cup itself comes first.

const PAUSE_MS = 400;

function late(state, source, show) {
  state.wanted = source;
  if (state.shown === source) return;
  clearTimeout(state.timer);
  state.timer = setTimeout(() => {
    const picture = new Image();
    picture.onload = () => {
      if (state.wanted !== source) return;
      state.shown = source;
      show(source);
    };
    picture.src = source;
  }, state.shown ? PAUSE_MS : 0);
}
