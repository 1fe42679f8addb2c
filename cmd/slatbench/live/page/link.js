// The wire to the bench: one WebSocket, messages as docs/live-protocol.md has them.

const SUBPROTOCOL = 'slatbench.live';
export const PROTOCOL = 1;

// connect calls hear.<is>(message) for every message, and hear.up / hear.down.
export function connect(hear) {
  let socket, lastID = 0, said = '';
  const waiting = new Map();

  function open() {
    const scheme = location.protocol === 'https:' ? 'wss:' : 'ws:';
    socket = new WebSocket(`${scheme}//${location.host}/live`, SUBPROTOCOL);
    socket.onopen = () => { said = ''; hear.up?.(); };
    socket.onmessage = m => take(JSON.parse(m.data));
    socket.onclose = () => { waiting.clear(); hear.down?.(said); };
  }

  function take(m) {
    if (m.is === 'bye') said = m.text;
    const wait = m.id && waiting.get(m.id);
    if (wait) {
      waiting.delete(m.id);
      wait(m);
    }
    hear[m.is]?.(m, Boolean(wait));
  }

  // ask sends a request; the answer is an error, done, or what was asked for.
  function ask(what, fields = {}) {
    if (socket?.readyState !== WebSocket.OPEN) return Promise.resolve({ is: 'error', message: 'the bench is not connected', lost: true });
    const id = ++lastID;
    return new Promise(resolve => {
      waiting.set(id, resolve);
      socket.send(JSON.stringify({ do: what, id, ...fields }));
    });
  }

  open();
  return { ask, again: open };
}
