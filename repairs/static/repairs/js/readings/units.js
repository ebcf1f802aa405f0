/**
 * The unit that was chosen for a column, in its head and beside its cells: `[data-unit-of=scale]`
 * says the `data-unit` of the option that stands in the select called `scale`.
 */

export function followUnits(form) {
  form.addEventListener("change", ({ target }) => {
    const unit = target.selectedOptions?.[0]?.dataset.unit;
    if (!unit) return;
    for (const place of form.querySelectorAll(`[data-unit-of="${target.name}"]`)) {
      place.textContent = place.matches("th *") ? `(${unit})` : unit;
    }
    // Where rows come one by one, each cell bears head and unit itself.
    for (const cell of form.querySelectorAll(`[data-cell-of="${target.name}"]`)) {
      cell.dataset.unit = unit;
    }
  });
}
