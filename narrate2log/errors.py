"""What the tool refuses to do, and the exit code that says so.

A refusal is one sentence: what, where, what to do. Bad narration is never a refusal; it
becomes a reason to look at a row.

Exit codes: 0 is a draft written, 1 anything that is not foreseen here, 2 a command line that cannot
be followed, and from 3 on one for each kind of thing that cannot be used.
"""

from __future__ import annotations


class Refusal(Exception):
    """The command cannot go on. The message is one sentence for the person at the keyboard."""

    exit_code = 1


class UnusableCommand(Refusal):
    """A command line that names something unknown or contradicts itself."""

    exit_code = 2


class UnusableSource(Refusal):
    """A recording, timed text or counter log that cannot be read."""

    exit_code = 3


class UnusableModel(Refusal):
    """No speech model by that name here, or one whose files are not what they should be."""

    exit_code = 4


class UnusableLexicon(Refusal):
    """A lexicon file that says something the tool does not know."""

    exit_code = 5


class UnusableFolder(Refusal):
    """An output folder that holds another run's draft, or cannot be written."""

    exit_code = 6
