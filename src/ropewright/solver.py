"""The solver of linear and whole-number programmes, as everything here asks it: without a word."""

import highspy

__all__ = ["QuietSolver"]


class QuietSolver(highspy.Highs):
    """The solver without the banner that the package's own constructor prints before it can be told not."""

    def __init__(self) -> None:
        super(highspy.Highs, self).__init__()
        self.setOptionValue("output_flag", False)

    def solve_quietly(self) -> None:
        """Run the core solver, without the package's handling of callbacks."""
        super(highspy.Highs, self).run()
