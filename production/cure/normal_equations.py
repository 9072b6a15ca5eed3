"""Solve and invert the small symmetric systems of a least-squares fit. Plain floats; sizes of a dozen at most."""

Matrix = list[list[float]]
# A result that is kept: nobody can change it, and it can be looked up by what it says.
FixedMatrix = tuple[tuple[float, ...], ...]


class SingularError(ArithmeticError):
    """The equations do not fix all unknowns."""


def invert(matrix: Matrix) -> Matrix:
    """Return the inverse by Gauss-Jordan elimination with row exchange."""
    size = len(matrix)
    rows = [list(row) + [float(i == j) for j in range(size)] for i, row in enumerate(matrix)]
    for column in range(size):
        pivot = max(range(column, size), key=lambda row: abs(rows[row][column]))
        if abs(rows[pivot][column]) < 1e-14:
            raise SingularError("The equations do not fix all unknowns.")
        rows[column], rows[pivot] = rows[pivot], rows[column]
        scale = rows[column][column]
        rows[column] = [entry / scale for entry in rows[column]]
        for row in range(size):
            if row != column and rows[row][column]:
                factor = rows[row][column]
                rows[row] = [a - factor * b for a, b in zip(rows[row], rows[column], strict=True)]
    return [row[size:] for row in rows]


def times(matrix: Matrix | FixedMatrix, vector: list[float]) -> list[float]:
    return [sum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix]


def quadratic_form(matrix: Matrix | FixedMatrix, vector: list[float]) -> float:
    """Return vectorᵀ · matrix · vector: the variance of a sum with these weights."""
    return sum(a * b for a, b in zip(vector, times(matrix, vector), strict=True))
