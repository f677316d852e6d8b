"""Meshes for the tests of dots."""

from laydown import units
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Mesh


def mesh_of(per_cm, thread_um):
    """A mesh of round, straight threads."""
    count, thread = units.from_threads_per_cm(float(per_cm)), units.from_micron(float(thread_um))

    def exactly(value):
        return Quantity(value=value, low=value, high=value, grade=Grade.WORKED, source="geometry")

    opening = 1 / count - thread
    return Mesh(
        name=f"{per_cm:g}/{thread_um:g}",
        count=count,
        thread=thread,
        opening=exactly(opening),
        fabric_thickness=exactly(1.6 * thread),
        theoretical_volume=exactly((opening * count) ** 2 * 1.6 * thread),
    )
