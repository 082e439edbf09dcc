// Says beside each form what was said in it and waits on this phone: a reason, pain, the rating, a message.
(() => {
  "use strict";
  const store = window.phoneStore;
  const { whose } = document.documentElement.dataset;
  const here = Number((/\/sheets\/(\d+)\//.exec(location.pathname) || [])[1]) || null;
  const WORDS = {
    skip: ({ quick, why, back }) => (back ? "to be done after all" : `left out: ${quick || why}`),
    pain: ({ pain }) => `pain ${pain}`,
    rating: ({ rating, minutes }) => [rating && `rating ${rating}`, minutes && `${minutes} min`].filter(Boolean).join(", "),
    message: ({ text }) => text,
  };
  const placeIn = (form) => (form.elements.position || form.elements.place || { value: "" }).value;

  const formOf = ({ kind, said }) => [...document.querySelectorAll("form[data-entry]")].find((form) =>
    form.elements.kind.value === kind && placeIn(form) === (said.position || said.place || ""));

  // A reason stands at the exercise's name, since its form is folded away.
  const spot = (item, form) => (item.kind === "skip" && form.closest(".lift") ? form.closest(".lift").querySelector("h2") : form);

  const words = (item) => {
    const made = document.createElement("p");
    made.className = item.kind === "skip" && !item.said.back ? "waits state left-out" : "waits state";
    made.textContent = `On this phone, not sent yet: ${WORDS[item.kind](item.said)}`;
    return made;
  };

  const draw = async () => {
    const items = (await store.all()).filter((one) =>
      one.whose === whose && one.sheet === here && WORDS[one.kind] && one.state !== "refused");
    for (const old of document.querySelectorAll(".waits")) old.remove();
    for (const item of items) {
      const form = formOf(item);
      if (form) spot(item, form).after(words(item));
    }
  };

  for (const name of ["phone-counted", "phone-drawn"]) document.addEventListener(name, () => store.ready.then((ready) => ready && draw()));
})();
