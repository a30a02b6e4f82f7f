"""Recordings as phones and sound cards write them, and files that lie."""

from __future__ import annotations

import struct
import wave
from io import BytesIO

import numpy as np
import pytest
from scipy.io import wavfile

from rimfea.errors import FileError, RecordingError
from rimfea.files.recording_wav import read_recording
from rimfea.tapped.tones import tones

RATE = 16000
RIM = (161.3, 292.4, 455.2, 871.3)


@pytest.fixture(scope="module")
def sound(tapped):
    return tapped(RIM, taps=2, every_s=1.5, noise_dB=-60)


def packed(sound, bits):
    """A file of so many bits, by another program than the one that reads it."""
    whole = np.round(sound * (2 ** (bits - 1) - 1)).astype(np.int64)
    if bits == 8:
        raw = (whole + 128).astype(np.uint8).tobytes()
    else:
        wide = whole.astype("<i4").view(np.uint8).reshape(-1, 4)
        raw = wide[:, : bits // 8].tobytes()
    made = BytesIO()
    with wave.open(made, "wb") as file:
        file.setparams((1, bits // 8, RATE, 0, "NONE", ""))
        file.writeframes(raw)
    return made.getvalue()


def written(samples, rate=RATE):
    made = BytesIO()
    wavfile.write(made, rate, samples)
    return made.getvalue()


@pytest.mark.parametrize("bits", [8, 16, 24, 32])
def test_any_number_of_bits_is_the_same_sound(file, sound, bits):
    read = read_recording(file("a.wav", packed(sound, bits)))
    assert read.rate == RATE
    np.testing.assert_allclose(read.sound, sound, atol=2 / 2 ** (bits - 1))


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_floating_point_is_too(file, sound, kind):
    read = read_recording(file("a.wav", written(sound.astype(kind))))
    np.testing.assert_allclose(read.sound, sound, atol=1e-7)


@pytest.mark.parametrize("bits", [8, 16, 24])
def test_the_tones_of_a_file_are_those_of_the_rim(file, sound, bits):
    found = tones(read_recording(file("a.wav", packed(sound, bits)))).hertz
    worst = np.abs(found - RIM).max()
    print(f"{bits} bits: {worst:.4f} Hz at worst")
    assert worst < 0.1


def test_of_two_channels_the_louder_one_is_read_not_their_sum(file, sound):
    """A microphone with its poles the other way round, and a channel that is far from zero."""
    both = np.stack([-0.5 * sound, sound, np.full(len(sound), 0.9)], axis=1)
    read = read_recording(file("a.wav", written(both)))
    np.testing.assert_allclose(read.sound, sound, atol=1e-7)


def test_notes_of_the_recorder_are_passed_over(file, sound):
    raw = packed(sound, 16)
    note = b"bext" + struct.pack("<I", 6) + b"fell 1"
    raw = raw[:12] + note + raw[12:]
    raw = raw[:4] + struct.pack("<I", len(raw) - 8) + raw[8:]
    assert len(read_recording(file("a.wav", raw)).sound) == len(sound)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "is empty (0 bytes)"),
        (b"ID3\x04" + bytes(40), "is an MP3; save it as WAV, 16 bit (PCM)"),
        (b"OggS" + bytes(40), "is an OGG"),
        (b"fLaC" + bytes(40), "is a FLAC"),
        (b"\x00\x00\x00\x20ftypM4A " + bytes(40), "is an M4A or a film"),
        (b"RIFF\x00\x00\x00\x00AVI " + bytes(40), "is no WAV"),
        (b"not a sound at all", "is no WAV"),
        (b"RIFF\x24\x00\x00\x00WAVE", "cannot be read as WAV"),
    ],
)
def test_what_is_no_wav_is_refused_with_what_to_do(file, content, told):
    with pytest.raises(FileError) as caught:
        read_recording(file("a.wav", content))
    assert "a.wav: " in str(caught.value)
    assert told in str(caught.value)


def lying(raw, place, form, value):
    return raw[:place] + struct.pack(form, value) + raw[place + struct.calcsize(form) :]


@pytest.mark.parametrize(
    ("place", "form", "value", "told"),
    [
        (22, "<H", 0, "cannot be read"),  # no channels
        (24, "<I", 0, "cannot be read"),
        (32, "<H", 7, "cannot be read"),  # bytes that no sample has
        (20, "<H", 17, "cannot be read"),  # packed otherwise
        (4, "<I", 2**31, "ends before the sound that it promises; copy it again"),
        (40, "<I", 0, "holds no sound; record again"),
    ],
)
def test_a_file_that_lies_is_refused(file, sound, place, form, value, told):
    with pytest.raises((FileError, RecordingError), match=told):
        read_recording(file("a.wav", lying(packed(sound, 16), place, form, value)))


def test_a_file_that_ends_too_early_is_refused(file, sound):
    raw = packed(sound, 16)
    with pytest.raises(FileError, match=r"ends before the sound that it promises"):
        read_recording(file("a.wav", raw[: len(raw) // 2]))


def test_a_file_that_is_too_long_or_too_large_is_refused_unread(file, monkeypatch):
    long = written(np.zeros(61 * 4000, dtype=np.uint8), 4000)
    with pytest.raises(FileError, match="lasts 61 s; cut it to 60 s at most"):
        read_recording(file("a.wav", long))
    monkeypatch.setattr("rimfea.files.recording_wav.MOST_BYTES", 1000)
    with pytest.raises(FileError, match="is larger than"):
        read_recording(file("a.wav", long))


@pytest.mark.parametrize("odd", [np.nan, np.inf])
def test_what_is_no_number_is_refused(file, sound, odd):
    with pytest.raises(RecordingError, match=r"a.wav: holds what is no number"):
        read_recording(file("a.wav", written(np.append(sound, odd))))


def test_a_silent_file_is_refused_by_its_name(file):
    with pytest.raises(RecordingError, match=r"a.wav: is silent"):
        read_recording(file("a.wav", written(np.zeros(RATE, dtype=np.int16))))


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    for path, told in ((tmp_path / "none.wav", "no such file"), (tmp_path, "is a folder")):
        with pytest.raises(FileError, match=told):
            read_recording(path)
