"""One function in one scenario: its picture, its cases, and why the bench took what it took."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.bench.result import Cell, Plot
from specapp.bench.running import trace_cell
from specapp.verification.presenting import (
    VERDICTS,
    cases_table,
    cell_address,
    function_facts,
    mend_words,
    pictures,
    settings_table,
)
from specapp.verification.selectors import KeptRun, kept_run, run_or_404
from specapp.verification.views.runs import override_url


@require_safe
def cell_show(request: HttpRequest, project_id: int, machine_id: int, number: int) -> HttpResponse:
    access, machine, row = run_or_404(request, project_id, machine_id, number)
    kept = kept_run(row)
    wanted = (request.GET.get("function", ""), request.GET.get("scenario", ""))
    cell = next((each for each in kept.result.cells if (each.function, each.scenario) == wanted), None)
    if cell is None:
        raise Http404
    function = next(each for each in kept.result.functions if each.key == cell.function)
    scenario = next(each for each in kept.result.scenarios if each.key == cell.scenario)
    chosen = request.GET.get("case", "") or cell.governing
    case = next((each for each in cell.cases if each.case == chosen), None)
    if cell.cases and case is None:
        raise Http404
    plot = _plot(kept, cell, chosen) if case is not None else None
    edit = override_url(access, machine)
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "run": row,
        "cell": cell,
        "case": case,
        "function": function,
        "scenario": scenario,
        "verdict": VERDICTS[case.verdict if case else cell.verdict],
        "facts": function_facts(function),
        "pictures": list(pictures(plot)) if plot else [],
        "is_drawn": kept.is_drawn,
        "mends": [mend_words(cell.function, mend, row, edit) for mend in case.mends] if case else [],
        "cases": cases_table(
            cell, function.unit, lambda name: cell_address(row, cell.function, cell.scenario, name), chosen
        ),
        "settings": settings_table(kept.result),
    }
    return render(request, "verification/pair.html", context)


def _plot(kept: KeptRun, cell: Cell, case: str) -> Plot | None:
    """Return the picture of a case: the kept one, else drawn again by the bench that made the run."""
    place = (cell.function, cell.scenario, case)
    for plot in kept.result.plots:
        if (plot.function, plot.scenario, plot.case) == place:
            return plot
    if not kept.is_drawn:
        return None
    outcome = next(each for each in cell.cases if each.case == case)
    if outcome.expected == "count":
        return None
    return trace_cell(kept.proposal, *place, seed=kept.row.seed, told=kept.row.told)
