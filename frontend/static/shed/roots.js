// The root survey drawn: a tap on the circle fills in a row of the form. The rows are what is sent.

const MIDDLE = 200;
const TRUNK = 30;
const ROOT = 118;
/** A tap so near to a root means that root [degrees]. */
const NEAR = 9;
const SVG = "http://www.w3.org/2000/svg";

/** 0 at the bottom, clockwise, as the rose and the phone draw it. */
function spot(degrees, radius) {
  const angle = (degrees * Math.PI) / 180;
  return [MIDDLE - radius * Math.sin(angle), MIDDLE + radius * Math.cos(angle)];
}

function apart(a, b) {
  const way = Math.abs(a - b) % 360;
  return Math.min(way, 360 - way);
}

class Row {
  constructor(element) {
    this.element = element;
    this.input = element.querySelector("input");
    [this.grade, this.level] = element.querySelectorAll("select");
  }

  get used() {
    return this.input.value.trim() !== "" && Number.isFinite(this.degrees);
  }

  get degrees() {
    return Number(this.input.value.replace(",", "."));
  }

  put(degrees) {
    this.input.value = degrees === undefined ? "" : String(Math.round(degrees) % 360);
  }
}

class Survey {
  constructor(form) {
    this.rows = [...form.querySelectorAll("[data-row]")].map((element) => new Row(element));
    this.drawing = form.querySelector("[data-round] svg");
    this.rays = form.querySelector("[data-rays]");
    this.said = form.querySelector("[data-said]");
    this.more = form.querySelector("[data-more]");
    this.chosen = undefined;
    this.shown = 0;
    form.querySelector("[data-round]").hidden = false;
    form.addEventListener("input", () => this.draw());
    this.more.addEventListener("click", () => {
      this.shown += 1;
      this.draw();
      this.rows[this.shown - 1]?.input.focus();
    });
    this.listen();
    this.draw();
  }

  /** Where a pointer is on the drawing: degrees from the front, and how far from the middle. */
  at(event) {
    const box = this.drawing.getBoundingClientRect();
    const { x: left, y: top, width, height } = this.drawing.viewBox.baseVal;
    const x = left + ((event.clientX - box.left) / box.width) * width - MIDDLE;
    const y = top + ((event.clientY - box.top) / box.height) * height - MIDDLE;
    return { degrees: ((Math.atan2(-x, y) * 180) / Math.PI + 360) % 360, away: Math.hypot(x, y) };
  }

  near(degrees) {
    const found = this.rows.filter((row) => row.used && apart(row.degrees, degrees) <= NEAR);
    return found.sort((a, b) => apart(a.degrees, degrees) - apart(b.degrees, degrees))[0];
  }

  listen() {
    let held;
    let moved = false;
    let was = false;
    this.drawing.addEventListener("pointerdown", (event) => {
      const { degrees, away } = this.at(event);
      if (away < TRUNK || event.button > 0) return;
      held = this.near(degrees);
      was = held !== undefined && held === this.chosen;
      if (!held) {
        held = this.rows.find((row) => !row.used);
        held?.put(degrees);
      }
      moved = false;
      this.chosen = held;
      this.drawing.setPointerCapture(event.pointerId);
      this.draw();
    });
    this.drawing.addEventListener("pointermove", (event) => {
      if (!held) return;
      const { degrees } = this.at(event);
      if (!moved && apart(degrees, held.degrees) < 3) return;
      moved = true;
      held.put(degrees);
      this.draw();
    });
    this.drawing.addEventListener("pointerup", () => {
      if (held && was && !moved) {
        held.put(undefined);
        this.chosen = undefined;
      }
      held = undefined;
      this.draw();
    });
    this.drawing.addEventListener("pointercancel", () => {
      held = undefined;
    });
  }

  draw() {
    const used = this.rows.filter((row) => row.used);
    this.shown = Math.max(this.shown, 1, ...used.map((row) => this.rows.indexOf(row) + 1));
    for (const [n, row] of this.rows.entries()) {
      row.element.hidden = n >= this.shown;
      row.element.classList.toggle("chosen", row === this.chosen);
    }
    this.more.hidden = this.shown >= this.rows.length;
    this.rays.replaceChildren(...used.flatMap((row) => this.ray(row)));
    this.said.textContent = this.words(used.map((row) => row.degrees % 360));
  }

  ray(row) {
    const line = document.createElementNS(SVG, "line");
    const [x1, y1] = spot(row.degrees, TRUNK);
    const [x2, y2] = spot(row.degrees, ROOT);
    const level = row.level.value !== "no";
    const end = document.createElementNS(SVG, level ? "circle" : "rect");
    const put = (element, values) => {
      for (const [name, value] of Object.entries(values)) element.setAttribute(name, String(value));
    };
    put(line, { x1, y1, x2, y2, "stroke-width": 1.5 + 2.5 * Number(row.grade.value || 3) });
    put(end, level ? { cx: x2, cy: y2, r: 9 } : { x: x2 - 9, y: y2 - 9, width: 18, height: 18 });
    if (row === this.chosen) end.classList.add("chosen");
    return [line, end];
  }

  words(degrees) {
    // The page gives its words in its own language.
    const { none, one, more, tip } = this.said.dataset;
    if (degrees.length < 2) return degrees.length === 0 ? none : one;
    const turned = degrees.sort((a, b) => a - b);
    const gaps = turned.map((deg, n) => (turned[n + 1] ?? turned[0] + 360) - deg);
    const said = more.replace("[n]", degrees.length).replace("[gap]", Math.round(Math.max(...gaps)));
    return this.chosen ? `${said} ${tip}` : said;
  }
}

for (const form of document.querySelectorAll("[data-roots]")) new Survey(form);
