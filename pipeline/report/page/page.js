
"use strict";
for (const player of document.querySelectorAll(".player")) {
  const video = player.querySelector("video");
  const fps = Number(player.dataset.fps), frames = Number(player.dataset.frames);
  if (!video || !(fps > 0)) continue;
  const controls = player.querySelector(".controls");
  const toggle = controls.querySelector("[data-toggle]");
  const jumps = [...controls.querySelectorAll("[data-frame]")];
  controls.hidden = false;

  // The frame that is shown. A seek still under way counts as done, so that quick
  // steps add up; the small part keeps rounding from naming the frame before.
  let wanted = null;
  const shown = () => wanted !== null ? wanted : Math.floor(video.currentTime * fps + 0.01);
  // Half a frame in, so that no rounding of times shows the frame before.
  const go = (frame) => {
    video.pause();
    wanted = Math.min(Math.max(frame, 0), Math.max(frames - 1, 0));
    video.currentTime = (wanted + 0.5) / fps;
  };
  video.addEventListener("seeked", () => { wanted = null; mark(); });
  video.addEventListener("play", () => { wanted = null; });

  const mark = () => {
    const now = shown();
    for (const b of jumps) {
      if (Number(b.dataset.frame) === now) b.setAttribute("aria-current", "true");
      else b.removeAttribute("aria-current");
    }
  };
  const label = () => { toggle.textContent = video.paused ? toggle.dataset.play : toggle.dataset.pause; };
  for (const name of ["play", "pause", "ended"]) video.addEventListener(name, () => { label(); mark(); });
  toggle.addEventListener("click", () => {
    if (!video.paused) video.pause();
    else video.play().catch(label);
  });
  for (const b of jumps) b.addEventListener("click", () => go(Number(b.dataset.frame)));
  for (const b of controls.querySelectorAll("[data-step]")) b.addEventListener("click", () => go(shown() + Number(b.dataset.step)));
  const speed = controls.querySelector("[data-speed]");
  const pace = () => { video.playbackRate = Number(speed.value); };
  speed.addEventListener("change", pace);
  pace();
  video.tabIndex = 0;
  video.addEventListener("keydown", (e) => {
    const step = { ArrowLeft: -1, ArrowRight: 1 }[e.key];
    if (!step || e.altKey || e.ctrlKey || e.metaKey || e.shiftKey) return;
    e.preventDefault();
    e.stopPropagation();
    go(shown() + step);
  }, true);
}
