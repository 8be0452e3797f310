// Two pictures of a tree, one laid over the other: the slider says how much of the later one is seen.

for (const figure of document.querySelectorAll("[data-compare]")) {
  const line = figure.querySelector(".slide");
  const slide = line.querySelector("input");
  const show = () => {
    figure.style.setProperty("--seen", `${slide.value}%`);
    slide.setAttribute("aria-valuetext", slide.value + slide.dataset.word);
  };
  slide.addEventListener("input", show);
  line.hidden = false;
  figure.classList.add("over");
  show();
}
