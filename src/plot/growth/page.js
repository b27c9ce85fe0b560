"use strict";
(() => {
  const at = (id) => document.getElementById(id);
  const [slider, button, now] = [at("slider"), at("play"), at("now")];
  const last = frames.length - 1;
  let shown = last;
  let timer = 0;
  const show = (k) => {
    shown = Math.max(0, Math.min(last, k));
    slider.value = shown;
    now.setAttribute("href", "#f" + shown);
    const [words, numbers] = frames[shown];
    slider.setAttribute("aria-valuetext", words);
    at("words").textContent = words;
    at("numbers").textContent = numbers;
    dots.forEach((spots, chart) => {
      const dot = at("dot" + chart);
      const spot = spots[shown];
      dot.style.visibility = spot ? "visible" : "hidden";
      if (spot) { dot.setAttribute("cx", spot[0]); dot.setAttribute("cy", spot[1]); }
    });
  };
  const stop = () => { clearInterval(timer); timer = 0; button.textContent = "Play"; };
  const play = () => {
    if (shown === last) show(0);
    button.textContent = "Pause";
    timer = setInterval(() => { shown === last ? stop() : show(shown + 1); }, 160);
  };
  const toggle = () => (timer ? stop() : play());
  button.addEventListener("click", toggle);
  slider.addEventListener("input", () => { stop(); show(Number(slider.value)); });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = { ArrowLeft: -1, ArrowRight: 1, Home: -last, End: last }[event.key];
    if (step !== undefined) { stop(); show(shown + step); event.preventDefault(); }
    if (event.key === " " && event.target !== button) { toggle(); event.preventDefault(); }
  });
  document.documentElement.classList.add("js");
  const asked = /^#frame=(\d+)$/.exec(location.hash);
  show(asked ? Number(asked[1]) : last);
})();
