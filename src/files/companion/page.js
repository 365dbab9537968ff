"use strict";
(() => {
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const root = document.documentElement;
  const strands = all("#strands > li");
  // Stations: 0 before the first strand, then one a strand, then after the last.
  const last = strands.length + 1;
  const ticks = all("#begin input");

  // Kept on the device: the place and the ticks under the name of this plan, the rest for all.
  // Of a browser that refuses to keep anything the menu tells.
  const told = (asked) => {
    try { return asked(); } catch {
      one("#kept").textContent =
        "This browser keeps nothing for this page: leave it open, or your place is lost.";
      return null;
    }
  };
  const read = (key) => {
    const text = told(() => localStorage.getItem(key));
    try { return Object(JSON.parse(text)); } catch { return {}; }
  };
  const keep = (key, value) => told(() => localStorage.setItem(key, JSON.stringify(value)));
  const PLAN = "instep-plan-" + document.body.dataset.plan;
  const ALL = "instep-settings";
  // What was kept is not trusted to be whole.
  const station = (wanted) => Math.min(Math.max(Math.trunc(wanted) || 0, 0), last);
  const list = (value) => (Array.isArray(value) ? value : []).filter(Number.isFinite);
  const sound = (value) => Math.min(Math.max(Math.round(value) || 45, 5), 600);
  const [planBefore, before] = [read(PLAN), read(ALL)];
  const plan = { at: station(planBefore.at), ticked: list(planBefore.ticked) };
  const settings = {
    theme: ["light", "dark"].includes(before.theme) ? before.theme : "",
    awake: before.awake !== false,
    seconds: sound(before.seconds),
    measured: before.measured !== false,
    pace: list(before.pace), // seconds that her last strands took
  };

  // The picture is drawn once, in the figure; the views refer to it.
  const chart = one("#chart svg");
  const parts = new Map(strands.map((strand) => [strand.dataset.strand, []]));
  for (const part of all("[data-strand]", chart)) parts.get(part.dataset.strand)?.push(part);
  // What lights a strand up: its own bar once more below it, wider, twice.
  for (const [bar] of parts.values()) {
    const body = bar.firstElementChild;
    for (const name of ["lit", "edge"]) {
      const copy = body.cloneNode();
      copy.setAttribute("class", name);
      copy.style.setProperty("--width", body.getAttribute("stroke-width") ?? 0);
      bar.prepend(copy);
    }
  }
  const SVG = "http://www.w3.org/2000/svg";
  const drawn = (id) => {
    const use = document.createElementNS(SVG, "use");
    use.setAttribute("href", "#" + id);
    return use;
  };
  const show = (view, ...names) => {
    for (const name of names) {
      one("." + name, chart).id = "drawn-" + name;
      view.append(drawn("drawn-" + name));
    }
  };
  const box = (item) => {
    const { x, y, width, height } = item.getBBox();
    return [x, y, x + width, y + height];
  };
  const lookThrough = (view, [x0, y0, x1, y1]) =>
    view.setAttribute("viewBox", [x0, y0, x1 - x0, y1 - y0].map((n) => n.toFixed(2)).join(" "));
  const near = one("#near");
  const lifted = document.createElementNS(SVG, "g"); // the strand in hand, on top of all
  const whole = one("#whole");
  show(near, "map", "frame");
  near.append(lifted);
  [...parts.values()].flat().forEach((part, index) => { part.id = "drawn-" + index; });
  show(whole, "map");
  show(one("#look"), "map");
  const ground = box(one(".map > path", chart)); // the fabric shown
  const sheet = box(one(".frame", chart)); // with the numbers round it
  const where = document.createElementNS(SVG, "rect"); // what the large view shows of the whole
  where.id = "where";
  whole.append(where);
  lookThrough(whole, ground);
  lookThrough(one("#look"), ground);

  // The strand with the thread of the centre line, from which its stitches are counted.
  const around = (strand) => {
    const bar = box(parts.get(strand.dataset.strand)[0]);
    const middle = (ground[0] + ground[2]) / 2;
    const margin = (ground[2] - ground[0]) * 0.09;
    const [x0, x1] = [Math.min(bar[0], middle) - margin, Math.max(bar[2], middle) + margin];
    return [x0, bar[1] - margin, x1, bar[3] + margin];
  };
  const LARGEST = 7; // pixels a mm of the sheet: larger, and too little is seen around
  // Grown to the shape of the view, then moved back onto the sheet.
  const fitted = ([x0, y0, x1, y1]) => {
    const { width, height } = near.getBoundingClientRect();
    if (!width || !height) return [x0, y0, x1, y1];
    const wide = Math.max(x1 - x0, ((y1 - y0) * width) / height, width / LARGEST);
    const high = (wide * height) / width;
    const within = (low, high, size, middle) =>
      size >= high - low ? (low + high - size) / 2
        : Math.min(Math.max(middle - size / 2, low), high - size);
    const left = within(sheet[0], sheet[2], wide, (x0 + x1) / 2);
    const top = within(sheet[1], sheet[3], high, (y0 + y1) / 2);
    return [left, top, left + wide, top + high];
  };
  let seen = null;
  let frame = 0;
  const still = matchMedia("(prefers-reduced-motion: reduce)");
  const lookAt = (goal, atOnce) => {
    cancelAnimationFrame(frame);
    const from = seen;
    const begun = performance.now();
    const step = (now) => {
      const share = atOnce || still.matches || !from ? 1 : Math.min((now - begun) / 260, 1);
      const eased = share * (2 - share);
      seen = goal.map((to, i) => (share === 1 ? to : from[i] + (to - from[i]) * eased));
      lookThrough(near, seen);
      if (share < 1) frame = requestAnimationFrame(step);
    };
    step(begun);
    for (const [name, value] of Object.entries({
      x: goal[0], y: goal[1], width: goal[2] - goal[0], height: goal[3] - goal[1],
    })) where.setAttribute(name, value.toFixed(2));
  };
  const picture = one("#picture");
  const look = (atOnce) => {
    const strand = strands[plan.at - 1];
    if (!strand) return;
    const far = picture.getAttribute("aria-pressed") === "true";
    const view = around(strand);
    whole.classList.toggle("left", view[0] + view[2] > ground[0] + ground[2]);
    const shown = fitted(far ? sheet : view);
    whole.classList.toggle("needless", shown[2] - shown[0] > 0.9 * (ground[2] - ground[0]));
    lookAt(shown, atOnce);
  };

  // Time: a figure given, or the middle one of her own last strands.
  const measured = () => settings.measured && settings.pace.length >= 3;
  const seconds = () => {
    if (!measured()) return settings.seconds;
    return [...settings.pace].sort((a, b) => a - b)[settings.pace.length >> 1];
  };
  let since = 0; // when the strand in hand was begun, ms; 0 when not known
  const timed = () => {
    const took = (Date.now() - since) / 1000;
    if (since && took >= 4 && took <= 600) settings.pace = [...settings.pace, took].slice(-15);
  };

  const status = () => {
    const strand = strands[plan.at - 1];
    if (!strand) return plan.at ? "All strands are sewn." : strands.length + " strands to sew.";
    const minutes = Math.ceil(((strands.length - plan.at + 1) * seconds()) / 60);
    return plan.at + " of " + strands.length + " · about " + minutes + " min left";
  };
  const basis = () => measured()
    ? "Now " + Math.round(seconds()) + " seconds: the middle one of your last " + settings.pace.length + "."
    : "Now " + settings.seconds + " seconds" +
      (settings.measured ? ", assumed until three of your own strands are timed." : ".");
  const spoken = (strand) => all(".note, .number, .part, dt, dd, .yarn", strand)
    .map((item) => item.textContent.replace(/\s+/g, " ").trim()).join(". ");
  const KINDS = ["begin", "work", "end"];
  const kind = (at) => KINDS[(at > 0) + (at === last)];

  const states = strands.map(() => ""); // done, in hand, next, or none of these
  const draw = (say) => {
    const at = plan.at;
    root.dataset.at = kind(at);
    strands.forEach((strand, index) => {
      const state = index + 1 < at ? "done" : index + 1 === at ? "now" : index === at ? "next" : "";
      const before = states[index];
      if (state === before) return; // a picture that is touched is drawn anew, and slowly
      states[index] = state;
      for (const part of [strand, ...parts.get(strand.dataset.strand)]) {
        if (before) part.classList.remove(before);
        if (state) part.classList.add(state);
      }
    });
    const inHand = parts.get(strands[at - 1]?.dataset.strand) ?? [];
    lifted.replaceChildren(...inHand.map((part) => drawn(part.id)));
    one("#status").textContent = status();
    one("#basis").textContent = basis();
    one("#progress span").style.width = (100 * Math.max(at - 1, 0)) / strands.length + "%";
    const held = document.activeElement; // a button that goes dead hands the keys to the other
    one("#back").disabled = at === 0;
    one("#next").disabled = at === last;
    if (held?.disabled) one(at ? "#back" : "#next").focus();
    one("#next").textContent = at === 0 ? "Begin" : at === last ? "Done" : "Next";
    one("#go").value = at;
    one("#main").scrollTop = 0;
    look(false);
    if (say) one("#said").textContent =
      kind(at) === "work" ? spoken(strands[at - 1]) : one("#" + kind(at)).getAttribute("aria-label");
  };
  const go = (wanted) => {
    const at = station(wanted);
    if (at === plan.at) return;
    if (at === plan.at + 1 && kind(plan.at) === "work") timed();
    plan.at = at;
    since = Date.now();
    keep(PLAN, plan);
    keep(ALL, settings);
    draw(true);
  };

  one("#next").addEventListener("click", () => go(plan.at + 1));
  one("#back").addEventListener("click", () => go(plan.at - 1));
  picture.addEventListener("click", () => {
    const far = picture.getAttribute("aria-pressed") !== "true";
    picture.setAttribute("aria-pressed", far);
    look(false);
  });
  const menu = one("#menu");
  document.addEventListener("keydown", (event) => {
    if (menu.open || event.altKey || event.ctrlKey || event.metaKey) return;
    const on = event.target.closest?.("button, input, select, a");
    const turn = { ArrowRight: plan.at + 1, ArrowLeft: plan.at - 1, Home: 0, End: last };
    if (event.key === " " && !on) turn[" "] = plan.at + 1; // a button has its own use for it
    if (!(event.key in turn)) return;
    event.preventDefault();
    go(turn[event.key]);
  });

  // A swipe with a finger: far enough, more across than down, and not one of two fingers.
  let finger = null;
  const main = one("#main");
  main.addEventListener("pointerdown", (event) => {
    finger = event.pointerType !== "mouse" && event.isPrimary ? event : null;
  });
  main.addEventListener("pointercancel", () => { finger = null; });
  main.addEventListener("pointerup", (event) => {
    if (!finger || event.pointerId !== finger.pointerId) return;
    const [across, down] = [event.clientX - finger.clientX, event.clientY - finger.clientY];
    finger = null;
    if (Math.abs(across) < 50 || Math.abs(across) < 1.5 * Math.abs(down)) return;
    swiped = true;
    setTimeout(() => { swiped = false; }, 0);
    go(plan.at + (across < 0 ? 1 : -1));
  });
  let swiped = false;
  main.addEventListener("click", (event) => {
    if (swiped) event.stopPropagation(); // the end of a swipe is no tap
  }, true);

  ticks.forEach((tick, index) => {
    tick.checked = plan.ticked.includes(index);
    tick.addEventListener("change", () => {
      plan.ticked = ticks.flatMap((other, at) => (other.checked ? [at] : []));
      keep(PLAN, plan);
    });
  });

  // The menu.
  const choices = one("#go");
  const choice = (within, at, text) => within.append(new Option(text, at));
  choice(choices, 0, "Basting, yarn, words");
  let group = null;
  strands.forEach((strand, index) => {
    if (group?.label !== strand.dataset.part) {
      group = document.createElement("optgroup");
      group.label = strand.dataset.part;
      choices.append(group);
    }
    choice(group, index + 1, "Strand " + one(".number", strand).lastChild.textContent);
  });
  choice(choices, last, "Check, cautions");
  choices.addEventListener("change", () => go(+choices.value));
  one("#open-menu").addEventListener("click", () => menu.showModal());
  const themes = all("[name=theme]");
  const dress = () => {
    if (settings.theme) root.dataset.theme = settings.theme;
    else delete root.dataset.theme;
    for (const theme of themes) theme.checked = theme.value === settings.theme;
  };
  for (const theme of themes) theme.addEventListener("change", () => {
    settings.theme = theme.value;
    keep(ALL, settings);
    dress();
  });
  const pace = one("#seconds");
  pace.value = settings.seconds;
  one("#measured").checked = settings.measured;
  pace.addEventListener("change", () => {
    settings.seconds = sound(+pace.value);
    pace.value = settings.seconds;
    settings.measured = one("#measured").checked = false;
    keep(ALL, settings);
    draw(false);
  });
  one("#measured").addEventListener("change", (event) => {
    settings.measured = event.target.checked;
    keep(ALL, settings);
    draw(false);
  });
  const ask = (asked) => {
    one("#sure").hidden = !asked;
    one("#reset").hidden = asked;
    if (asked) one("#keep").focus();
  };
  one("#reset").addEventListener("click", () => ask(true));
  one("#keep").addEventListener("click", () => { ask(false); one("#reset").focus(); });
  menu.addEventListener("close", () => ask(false));
  one("#forget").addEventListener("click", () => {
    Object.assign(plan, { at: 0, ticked: [] });
    for (const tick of ticks) tick.checked = false;
    keep(PLAN, plan);
    menu.close();
    draw(true);
  });

  // The screen stays on where the browser can do that; where not, nothing is said.
  let lock = null;
  const wake = async () => {
    try {
      const wanted = settings.awake && document.visibilityState === "visible";
      if (wanted && (!lock || lock.released)) lock = await navigator.wakeLock.request("screen");
      if (!wanted) await lock?.release();
    } catch { lock = null; }
  };
  one("#awake-line").hidden = !("wakeLock" in navigator);
  one("#awake").checked = settings.awake;
  one("#awake").addEventListener("change", (event) => {
    settings.awake = event.target.checked;
    keep(ALL, settings);
    wake();
  });
  document.addEventListener("visibilitychange", wake);
  document.addEventListener("pointerup", wake);

  root.classList.add("running");
  dress();
  draw(false);
  look(true);
  new ResizeObserver(() => look(true)).observe(picture);
})();
