"""From phrases to rows while they are spoken, with a hearing that is made up and all other stages real."""

from dataclasses import replace

import pytest

from narrate2log.hearing.growing import Phrase
from narrate2log.hearing.timed_text import spread_words
from narrate2log.listening.counter import Clip
from narrate2log.listening.listener import Listener
from narrate2log.listening.live_journal import LiveJournal, Told
from narrate2log.listening.table import Table
from narrate2log.wording.learned import Learned
from narrate2log.wording.lexicon import load_lexicon

LEXICON = load_lexicon(None)
START = ["Zero the counter.", "Starting out."]
PUSHING = ["Nothing to see in this part, clean all the way.", "Still pushing."] * 3


class Spoken:
    """Phrases of four seconds each, a second apart."""

    def __init__(self, phrases, probability=0.9):
        self.phrases, self.probability = phrases, probability
        self.spoken = self.taken = 0
        self.silence_ms = 1000
        self.hearings = 0

    @property
    def untaken(self):
        return self.spoken - self.taken

    @property
    def ended(self):
        return self.spoken

    @property
    def fed_ms(self):
        return self.spoken * 5000

    def silence_after(self, stretches):
        return self.silence_ms if stretches == self.spoken else 200

    def hear(self):
        self.hearings += 1
        begin = self.taken * 5000
        text = " ".join(self.phrases[self.taken : self.spoken])
        words = tuple(
            word.__class__(word.text, word.start_ms, word.end_ms, self.probability)
            for word in spread_words(text, begin, self.spoken * 5000 - 1000, 0)
        )
        return Phrase(words, begin, self.spoken * 5000 - 1000, self.spoken)

    def take(self, phrase):
        self.taken = phrase.stretches

    def skip(self):
        self.taken = self.spoken


def listener(tmp_path, phrases, before=None, **options):
    run = before or Told(clips=(("sound-1.wav", Clip(0, 0)),))
    journal = LiveJournal(tmp_path / "live.jsonl")
    spoken = Spoken(phrases, **options)
    return Listener(spoken, Table(run, LEXICON, Learned(), None), journal, run), spoken


def listened(tmp_path, phrases):
    """What each phrase brought, and the listener."""
    live, spoken = listener(tmp_path, phrases)
    heard = []
    for _ in phrases:
        spoken.spoken += 1
        heard.append(live.work())
    return heard, live


def told(heard):
    return [(change.what, change.row.number, change.row.told.feature) for change in heard.changes]


def test_a_row_is_taken_with_its_phrase(tmp_path):
    heard, _ = listened(tmp_path, [*START, *PUSHING, "Twenty feet. Roots here, on the left."])
    assert ("taken", 3, "roots") in told(heard[-1])
    roots = next(change.row for change in heard[-1].changes)
    assert roots.told.remark == "Roots at about 20 ft, at 9 o'clock."
    assert heard[-1].kept
    assert heard[-1].understood


def test_a_correction_amends_the_row_and_it_keeps_its_number(tmp_path):
    heard, live = listened(
        tmp_path,
        [
            *START,
            *PUSHING,
            "Twenty feet. Roots here.",
            *PUSHING,
            "Thirty feet. A crack.",
            "Make that thirty two feet.",
        ],
    )
    (number,) = [c.row.number for c in heard[-2].changes if c.row.told.feature == "crack"]
    crack = next(row for row in live.rows.standing if row.number == number)
    assert crack.told.remark == "Crack at 32.0 ft."


def test_what_is_scratched_is_gone_by_the_narrators_word(tmp_path):
    heard, live = listened(tmp_path, [*START, *PUSHING, "Twenty feet. Roots here.", "Scratch that."])
    assert ("gone", 3, "roots") in told(heard[-1])
    assert "roots" not in {row.told.feature for row in live.rows.standing}


def test_a_thing_told_again_updates_its_row(tmp_path):
    heard, live = listened(
        tmp_path,
        [
            *START,
            *PUSHING,
            "Twenty feet. A belly starts here.",
            *PUSHING,
            "Twenty eight feet. The belly ends here.",
        ],
    )
    assert [row.told.feature for row in live.rows.standing].count("belly") == 1
    assert any(
        change.what == "changed" and change.row.told.feature == "belly" for change in heard[-1].changes
    )


def test_talk_before_the_start_is_no_row(tmp_path):
    heard, live = listened(tmp_path, ["So, roots. And a collapse.", *START, *PUSHING, *PUSHING])
    assert {"roots", "collapse"}.isdisjoint(feature for one in heard for _, _, feature in told(one))
    assert {"roots", "collapse"}.isdisjoint(row.told.feature for row in live.rows.standing)


def test_without_a_start_rows_come_after_a_while_all_the_same(tmp_path):
    heard, live = listened(tmp_path, ["Twenty feet. Roots here.", *["The water is on."] * 30])
    assert told(heard[0]) == []
    assert "roots" in {row.told.feature for row in live.rows.standing}


def test_a_danger_is_told_at_once_and_once(tmp_path):
    heard, live = listened(
        tmp_path,
        [*START, *PUSHING, "There's a gas line right through the pipe.", "Gas line, yes.", "Stopping here."],
    )
    told_of = [caution.key for h in heard for caution in h.cautions]
    assert told_of == ["cross-bore"]
    assert heard[8].cautions
    assert list(live.cautions) == ["cross-bore"]


def test_whatever_goes_wrong_with_the_rows_the_words_are_kept(tmp_path):
    live, spoken = listener(tmp_path, [*START, "Twenty feet. Roots."])

    class Broken:
        def __call__(self, words, until_ms):
            raise ZeroDivisionError("no feet")

    table, live._table = live._table, Broken()
    spoken.spoken = 2
    heard = live.work()
    (trouble,) = heard.troubles
    assert trouble == "No rows can be made of this (no feet); the words and the sound are kept."
    assert LiveJournal(tmp_path / "live.jsonl").told().words
    live._table = table
    spoken.spoken = 3
    assert "roots" in {change.row.told.feature for change in live.work().changes}


def test_a_phrase_that_cannot_be_heard_is_told_and_the_next_is_heard(tmp_path):
    live, spoken = listener(tmp_path, START)
    hear = spoken.hear
    spoken.spoken = 1
    spoken.hear = lambda: 1 // 0
    (trouble,) = live.work().troubles
    assert trouble == "A phrase cannot be heard (integer division or modulo by zero); its sound is kept."
    spoken.hear = hear
    spoken.spoken = 2
    assert "start" in {change.row.told.feature for change in live.work().changes}


def test_a_breath_is_no_end_of_a_phrase(tmp_path):
    live, spoken = listener(tmp_path, [*START, *PUSHING, "Twenty feet. Roots", "on the left."])
    spoken.taken, spoken.spoken = 8, 9
    spoken.silence_ms = 200
    assert live.work() is None
    assert live.work() is None
    assert spoken.hearings == 1
    # He spoke on after a fifth of a second: what was heard early is heard again with the rest.
    spoken.spoken = 10
    assert live.work() is None
    assert live.work() is None
    assert spoken.hearings == 2
    spoken.silence_ms = 400
    heard = live.work()
    assert spoken.hearings == 2
    assert heard.text.endswith("Roots on the left.")


def test_who_never_pauses_is_not_waited_for(tmp_path):
    live, spoken = listener(tmp_path, [*START, *PUSHING])
    spoken.silence_ms = 200
    spoken.spoken = 2
    assert live.work() is None
    spoken.spoken = 3
    heard = live.work()
    assert heard.end_ms - heard.start_ms >= 12_000


def test_a_note_of_which_more_is_heard_is_kept_whole(tmp_path):
    live, spoken = listener(tmp_path, [*START, "Message to the manager.", "Bill the second visit."])
    told_of = []
    for _ in range(4):
        spoken.spoken += 1
        told_of += [mark.text for mark in live.work().marks]
    assert told_of[-1] == "Bill the second visit."
    assert [mark.text for mark in live.marks] == ["Bill the second visit."]
    assert [mark.text for mark in LiveJournal(tmp_path / "live.jsonl").told().marks] == [
        "Bill the second visit."
    ]


def test_what_is_odd_about_the_counter_log_is_told_once(tmp_path):
    run = Told(clips=(("sound-1.wav", Clip(0, 0)),))
    spoken = Spoken([*START, *PUSHING])
    journal = LiveJournal(tmp_path / "live.jsonl")
    live = Listener(spoken, Table(run, LEXICON, Learned(), tmp_path / "typo.csv"), journal, run)
    troubles = []
    for _ in range(3):
        spoken.spoken += 1
        troubles += live.work().troubles
    assert troubles == [f"{tmp_path / 'typo.csv'}: there is no counter log yet."]


def test_a_danger_told_before_the_run_was_broken_off_is_still_there(tmp_path):
    phrases = [*START, *PUSHING, "There's a gas line right through the pipe."]
    listened(tmp_path, phrases)
    journal = LiveJournal(tmp_path / "live.jsonl")
    before = LiveJournal(tmp_path / "live.jsonl").told()
    before = replace(before, clips=(("sound-1.wav", Clip(0, 0)),))
    live = Listener(Spoken(phrases), Table(before, LEXICON, Learned(), None), journal, before)
    assert list(live.cautions) == ["cross-bore"]


def test_at_the_end_of_the_sound_no_pause_is_waited_for(tmp_path):
    live, spoken = listener(tmp_path, START)
    spoken.spoken = 2
    spoken.silence_ms = 0
    assert live.work() is None
    assert live.work(ended=True) is not None
    assert live.work(ended=True) is None


@pytest.mark.parametrize(("probability", "understood"), [(0.3, False), (0.8, True)])
def test_what_was_hardly_heard_is_told(tmp_path, probability, understood):
    live, spoken = listener(tmp_path, ["Something about the pipe here."], probability=probability)
    spoken.spoken = 1
    assert live.work().understood is understood


def test_a_run_that_was_broken_off_goes_on_with_its_rows_and_numbers(tmp_path):
    phrases = [*START, *PUSHING, "Twenty feet. Roots here.", "Make that twenty two feet."]
    _, first = listened(tmp_path, phrases[:9])
    journal = LiveJournal(tmp_path / "live.jsonl")
    journal.append(
        "begun",
        schema="narrate2log/live/1",
        clip="sound-1.wav",
        units="ft",
        clock_ms=0,
        sound_ms=0,
        options={},
    )
    before = LiveJournal(tmp_path / "live.jsonl").told()
    assert before.rows == first.rows.standing

    live, spoken = listener(tmp_path, phrases, before)
    spoken.taken = 9
    spoken.spoken = 10
    heard = live.work()
    assert told(heard) == [("changed", 3, "roots")]
    assert heard.changes[0].row.told.remark == "Roots at 22.0 ft."


def test_a_counter_log_that_grows_places_the_rows(tmp_path):
    log = tmp_path / "log.csv"
    log.write_text("time_s,distance\n")
    run = Told(clips=(("sound-1.wav", Clip(0, 0)),))
    phrases = [*START, *PUSHING, "Roots here.", *PUSHING, "A crack on the left."]
    spoken = Spoken(phrases)
    journal = LiveJournal(tmp_path / "live.jsonl")
    live = Listener(spoken, Table(run, LEXICON, Learned(), log), journal, run)
    remarks = {}
    for number in range(len(phrases)):
        with log.open("a") as file:
            for second in range(5 * number, 5 * number + 5):
                # From the start on, half a foot a second.
                file.write(f"{second},{max(0, second - 10) / 2}\n")
        spoken.spoken += 1
        for change in live.work().changes:
            remarks[change.row.told.feature] = change.row.told
    assert remarks["roots"].distance_mm / 304.8 == pytest.approx(15, abs=2.5)
    assert remarks["crack"].distance_mm / 304.8 == pytest.approx(32.5, abs=2.5)
    assert live.place.basis == "counter"
