// The socket to the server: reconnects by itself, hands on what comes, and sends what is wished.

const FIRST_WAIT_MS = 300;
const LONGEST_WAIT_MS = 1500;

export class Link {
  // hear.told(message), hear.picture(head, blob) -> promise, hear.lost(), hear.found()
  constructor(hear) {
    this.hear = hear;
    this.wait = FIRST_WAIT_MS;
    this.open();
  }

  open() {
    const socket = new WebSocket(`ws://${location.host}/socket`);
    socket.binaryType = "arraybuffer";
    socket.onopen = () => {
      this.wait = FIRST_WAIT_MS;
      this.hear.found();
    };
    socket.onmessage = (event) => this.receive(socket, event.data);
    socket.onclose = () => {
      this.hear.lost();
      setTimeout(() => this.open(), this.wait);
      this.wait = Math.min(2 * this.wait, LONGEST_WAIT_MS);
    };
    this.socket = socket;
  }

  async receive(socket, data) {
    if (typeof data === "string") {
      this.hear.told(JSON.parse(data));
      return;
    }
    // Four bytes say how long the head is; behind it lies the picture.
    const length = new DataView(data).getUint32(0);
    const head = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 4, length)));
    const blob = new Blob([new Uint8Array(data, 4 + length)], { type: "image/jpeg" });
    try {
      await this.hear.picture(head, blob);
    } finally {
      // Only now may the server send another: a slow page is not flooded.
      if (socket.readyState === WebSocket.OPEN) {
        socket.send(JSON.stringify({ kind: "seen", number: head.number }));
      }
    }
  }

  send(message) {
    if (this.socket.readyState === WebSocket.OPEN) {
      this.socket.send(JSON.stringify(message));
    }
  }
}

// Changes while something is dragged: the newest of each value, once a frame of the screen.
export class Turning {
  constructor(link) {
    this.link = link;
    this.values = {};
    this.waiting = false;
    this.goesOn = false;
  }

  turn(values) {
    Object.assign(this.values, values);
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => this.flush());
  }

  flush() {
    this.waiting = false;
    if (Object.keys(this.values).length === 0) return;
    this.link.send({ kind: "turn", values: this.values, goes_on: this.goesOn });
    this.values = {};
    this.goesOn = true;
  }

  // The gesture has ended: what comes next is a step of its own.
  settle() {
    this.flush();
    this.goesOn = false;
    this.link.send({ kind: "settle" });
  }
}
