"""How much slower this computer is than the one the limits are written for."""

from tests.benchmarks.test_documents_speed import REFERENCE_MS, bare_document, median_ms


def slowness() -> float:
    """Return how many times slower than the reference this computer sets the PDF library's own document."""
    grid = [[f"cell {row} {column}" for column in range(6)] for row in range(40)]
    return max(1.0, median_ms(lambda: bare_document([grid[:20], grid[20:]] * 3, "Helvetica")) / REFERENCE_MS)
