/* Switching of lighting, plate, prompt, outlines and lines. What is chosen stands in the address after "#" as
   lighting/plate/prompt/outlines/lines, so that a link opens it, and is remembered for each study. Everything works on
   elements marked in the page:
     data-castwalk            the study's name, on the element that holds the rest
     data-choice              a group of radio buttons: lighting, group, plate, prompt, outlines or lines
     data-for-<choice>        shown only while one of these values is chosen
     data-members             the plates of a group, shown while the chosen plate is one of them
     data-lighting data-plate a plate's file, with its size, its description and the file of its outlines; no lighting is
                              every lighting; data-over names the plate that a plate of lines may lie over, data-asked
                              one whose lines are shown as their answers are opened
     data-answer              an answer to open; data-answer-lines are its lines over the picture
     data-answers             a button that opens or closes all answers
     data-plate-picture       the picture that shows the chosen plate; what holds it holds the outlines over it too
     data-with-outlines       shown only while the chosen plate has outlines
     data-outlines-file       a link to the outlines of the chosen plate
     data-pictures            a picture with one source for each lighting
     data-keep-state          a link that carries the choice along */
(() => {
  "use strict";
  const root = document.querySelector("[data-castwalk]");
  if (!root) return;
  const NAMES = ["lighting", "plate", "prompt", "outlines", "lines"];
  const storeKey = `castwalk:${root.dataset.castwalk}`;
  const all = (selector) => [...root.querySelectorAll(selector)];
  const radios = Object.fromEntries(NAMES.map((name) => [name, all(`[data-choice="${name}"] input`)]));
  const plates = new Map(all("a[data-lighting][data-plate]").map((a) => [`${a.dataset.lighting}/${a.dataset.plate}`, a]));
  const fileOf = (lighting, plate) => plates.get(`${lighting}/${plate}`) ?? plates.get(`/${plate}`);
  const groups = all('[data-choice="group"] input');
  const answers = all("[data-answer]");
  const picture = root.querySelector("[data-plate-picture]");
  const dialog = root.querySelector("dialog.cw-alone");

  const recall = (key) => {
    try {
      return JSON.parse(localStorage.getItem(key)) || {};
    } catch {
      return {};
    }
  };
  const remember = (key, value) => {
    try {
      localStorage.setItem(key, JSON.stringify(value));
    } catch {
      /* Storage may be switched off; the address still carries the choice. */
    }
  };
  const offered = (name, value) => radios[name].some((radio) => radio.value === value && !radio.disabled);
  const checked = (name) => radios[name].find((radio) => radio.checked)?.value ?? "";
  const fromAddress = () => {
    const parts = location.hash.slice(1).split("/").map((part) => {
      try {
        return decodeURIComponent(part);
      } catch {
        return "";
      }
    });
    return Object.fromEntries(NAMES.map((name, index) => [name, parts[index] || undefined]));
  };

  const state = {};
  const opening = Object.fromEntries(NAMES.map((name) => [name, checked(name)]));

  /* Value of a choice: the first source that names something offered here. */
  const settle = (name, ...sources) => {
    const found = sources.find((source) => source[name] !== undefined && offered(name, source[name]));
    return found ? found[name] : opening[name];
  };

  /* Only the plates that are made for the lighting can be chosen. */
  const allow = () => {
    for (const radio of radios.plate) radio.disabled = !fileOf(state.lighting, radio.value);
    for (const radio of groups) radio.disabled = membersOf(radio.value).every((member) => member.disabled);
  };

  /* The groups that plates are offered in. Going back to a group goes back to its plate chosen last. */
  const lastOf = {};
  const groupOf = (plate) => radios.plate.find((radio) => radio.value === plate)?.closest("[data-members]")?.dataset.members;
  const membersOf = (group) => radios.plate.filter((radio) => groupOf(radio.value) === group);
  const chooseGroup = (group) => {
    const open = membersOf(group).filter((radio) => !radio.disabled);
    const last = open.find((radio) => radio.value === lastOf[group]) ?? open[0];
    if (last) choose("plate", last.value);
  };

  const chosenFile = () => fileOf(state.lighting, state.plate);
  const point = (image, source) => {
    if (image.getAttribute("src") !== source) image.src = source;
  };

  /* Outlines and lines lie over the picture as a second one of the same size. Alone, they hide the picture, which keeps
     its place and speaks for both. Under lines stands the plate that they may lie over, made paler. */
  const layer = (picture, file, outlines, lines) => {
    const under = lines === "over" ? fileOf(state.lighting, file.dataset.over) : file;
    const layers = picture.parentElement;
    let over = layers.querySelector(".cw-lines");
    if (lines ? "asked" in file.dataset : outlines === "off") over?.remove();
    else {
      if (!over) {
        over = document.createElement("img");
        over.className = "cw-lines";
        over.alt = "";
        layers.append(over);
      }
      point(over, file.dataset.outlines);
      over.width = file.dataset.width;
      over.height = file.dataset.height;
    }
    layers.classList.toggle("cw-paper", outlines === "alone" || lines === "alone");
    layers.classList.toggle("cw-pale", lines === "over");
    point(picture, under.getAttribute("href"));
    const asked = "asked" in file.dataset;
    const said = lines
      ? { over: asked ? root.dataset.linesAsked : root.dataset.linesOver }[lines]
      : { over: root.dataset.outlinesOver, alone: root.dataset.outlinesAlone }[outlines];
    const alt = asked ? under.dataset.alt : file.dataset.alt;
    picture.alt = said ? said.replace("{alt}", () => alt) : alt;
    picture.width = file.dataset.width;
    picture.height = file.dataset.height;
  };

  /* How the lines of a plate of lines are shown; empty for other plates, and where there is nothing to lie over. */
  const linesOf = (file) => {
    if (!file?.dataset.over || !file.dataset.outlines) return "";
    if (!fileOf(state.lighting, file.dataset.over)) return "alone";
    return "asked" in file.dataset ? "over" : state.lines || "over";
  };

  const show = () => {
    let outlines = state.outlines;
    let lines = "";
    if (picture) {
      allow();
      if (!offered("plate", state.plate)) state.plate = root.dataset.opensPlate;
      const file = chosenFile();
      const drawing = file?.dataset.outlines;
      lines = linesOf(file);
      if (!drawing || !outlines || lines) outlines = "off";
      const pictures = dialog ? [picture, ...dialog.querySelectorAll("img:not(.cw-lines)")] : [picture];
      for (const image of file ? pictures : []) layer(image, file, outlines, lines);
      for (const element of all("[data-with-outlines]")) element.classList.toggle("cw-off", !drawing || lines !== "");
      if (drawing) for (const link of all("[data-outlines-file]")) link.setAttribute("href", drawing);
      const group = groupOf(state.plate);
      lastOf[group] = state.plate;
      for (const radio of groups) radio.checked = radio.value === group;
      for (const members of all("[data-members]")) members.classList.toggle("cw-off", members.dataset.members !== group);
    }
    for (const image of all("[data-pictures]")) {
      const [source, alt] = JSON.parse(image.dataset.pictures)[state.lighting] || [];
      if (source && image.getAttribute("src") !== source) image.src = source;
      if (source) image.alt = alt;
    }
    for (const name of NAMES) {
      for (const radio of radios[name]) radio.checked = radio.value === state[name];
      for (const element of all(`[data-name-of="${name}"]`)) {
        const label = root.querySelector(`[data-choice="${name}"] input:checked + label`);
        if (label && element.textContent !== label.textContent) element.textContent = label.textContent;
      }
    }
    const shown = { ...state, outlines, lines };
    for (const element of all(NAMES.map((name) => `[data-for-${name}]`).join())) {
      const fits = NAMES.every((name) => {
        const values = element.getAttribute(`data-for-${name}`);
        return values === null || values === "" || values.split(" ").includes(shown[name]);
      });
      element.classList.remove("cw-later");
      element.classList.toggle("cw-off", !fits);
    }
    keep();
  };

  /* The groups of lamps in a drawing need one lighting even while each view shows its own. */
  const drawn = () => {
    const groups = all("svg [data-for-lighting]");
    if (state.lighting === "") for (const group of groups) group.classList.add("cw-off");
  };

  const hash = () => {
    const parts = NAMES.map((name) => state[name] || "").map(encodeURIComponent);
    const plain = (index) => parts[index] === "" || state[NAMES[index]] === opening[NAMES[index]];
    while (parts.length > 2 && plain(parts.length - 1)) parts.pop();
    if (!parts[1]) parts.length = 1;
    return parts[0] ? `#${parts.join("/")}` : "";
  };
  const keep = () => {
    drawn();
    for (const link of all("a[data-keep-state]")) link.setAttribute("href", link.getAttribute("href").split("#")[0] + hash());
    for (const link of all("a[data-lighting-anchor]")) {
      link.setAttribute("href", `${link.getAttribute("href").split("#")[0]}#${encodeURIComponent(state.lighting)}`);
    }
  };

  const choose = (name, value) => {
    state[name] = value;
    show();
    remember(storeKey, { ...recall(storeKey), [name]: state[name] || undefined });
    if (radios.lighting.length) history.replaceState(null, "", hash() || location.pathname + location.search);
  };

  const start = (...sources) => {
    state.lighting = settle("lighting", ...sources);
    allow();
    state.plate = settle("plate", ...sources);
    state.prompt = settle("prompt", ...sources);
    state.outlines = settle("outlines", ...sources);
    state.lines = settle("lines", ...sources);
    show();
  };

  for (const name of NAMES) {
    for (const radio of radios[name]) radio.addEventListener("change", () => choose(name, radio.value));
  }
  for (const radio of groups) radio.addEventListener("change", () => chooseGroup(radio.value));
  if (radios.lighting.length) {
    start(fromAddress(), recall(storeKey));
    addEventListener("hashchange", () => start(fromAddress(), state));
  }

  /* Answers that are opened one by one, each with its lines over the picture. */
  const draw = (answer) => {
    for (const lines of all(`[data-answer-lines="${answer.dataset.answer}"]`)) lines.classList.toggle("cw-off", !answer.open);
  };
  for (const answer of answers) answer.addEventListener("toggle", () => draw(answer));
  const answerAll = (open) => {
    for (const answer of answers) answer.open = open;
  };
  for (const button of all("[data-answers]")) {
    button.addEventListener("click", () => answerAll(button.dataset.answers === "open"));
  }

  /* The plate alone, on the whole screen. */
  const alone = () => {
    if (!dialog || !picture) return;
    if (dialog.open) {
      dialog.close();
      return;
    }
    if (!dialog.querySelector("img")) {
      const layers = picture.parentElement.cloneNode(true);
      layers.querySelector("[data-plate-picture]").removeAttribute("data-plate-picture");
      dialog.prepend(layers);
    }
    show();
    dialog.showModal();
  };
  root.querySelector("[data-alone]")?.addEventListener("click", alone);
  root.querySelector("[data-alone-close]")?.addEventListener("click", () => dialog.close());
  root.querySelector("[data-print]")?.addEventListener("click", () => print());

  /* Single keys. They can be switched off (WCAG 2.2, 2.1.4), and then the theme's single keys are held back too. */
  const tick = root.querySelector("[data-keys]");
  const keysKey = "castwalk:keys";
  if (tick) {
    tick.checked = recall(keysKey).on !== false;
    tick.addEventListener("change", () => remember(keysKey, { on: tick.checked }));
  }
  const step = (rel) => {
    const link = root.querySelector(`a[rel="${rel}"]`);
    if (link) location.assign(link.href);
  };
  const next = (name) => {
    const order = radios[name].map((radio) => radio.value);
    if (order.length) choose(name, order[(order.indexOf(state[name]) + 1) % order.length]);
  };
  const nextGroup = () => {
    const open = groups.filter((radio) => !radio.disabled).map((radio) => radio.value);
    if (open.length) chooseGroup(open[(open.indexOf(groupOf(state.plate)) + 1) % open.length]);
  };
  const press = (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey) return;
    const at = event.target instanceof Element ? event.target : document.body;
    if (at.closest("textarea, select, [contenteditable], input:not([type=radio]):not([type=checkbox])")) return;
    if (tick && !tick.checked) {
      if (event.key.length === 1 && event.key !== " ") event.stopPropagation();
      return;
    }
    const inForm = at.closest("input, [data-md-toggle]");
    if (event.key === "ArrowLeft" && !inForm && !dialog?.open) step("prev");
    else if (event.key === "ArrowRight" && !inForm && !dialog?.open) step("next");
    else if (event.key === "l") next("lighting");
    else if (event.key === "g") nextGroup();
    else if (event.key === "e" && chosenFile()?.dataset.outlines) next(linesOf(chosenFile()) ? "lines" : "outlines");
    else if (event.key === "a" && "asked" in (chosenFile()?.dataset ?? {})) answerAll(!answers.every((each) => each.open));
    else if (event.key === "o") alone();
    else if (/^[1-9]$/.test(event.key)) {
      const radio = membersOf(groupOf(state.plate))[Number(event.key) - 1];
      if (!radio || radio.disabled) return;
      choose("plate", radio.value);
    } else return;
    if (event.key.length === 1) event.preventDefault();
  };
  if (tick) window.addEventListener("keydown", press, true);
})();
