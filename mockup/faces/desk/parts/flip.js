// Two options in one place: a press shows the other, so that the eye compares like with like.

export default function ({ data, parentElement }) {
  const root = parentElement.querySelector(".flip");
  const told = JSON.stringify(data);
  if (root.told === told) return;
  root.told = told;
  let shown = 0;
  const button = document.createElement("button");
  button.type = "button";
  const pictures = data.options.map(({ source }) => {
    const image = document.createElement("img");
    image.src = source;
    image.alt = "";
    button.append(image);
    return image;
  });
  const label = document.createElement("span");
  button.append(label);
  const show = () => {
    pictures.forEach((image, i) => image.classList.toggle("hidden", i !== shown));
    label.textContent = data.options[shown].name;
    button.setAttribute("aria-label",
      `Shows ${data.options[shown].name}; press for ${data.options[1 - shown].name}`);
  };
  button.onclick = () => { shown = 1 - shown; show(); };
  root.replaceChildren(button);
  show();
}
