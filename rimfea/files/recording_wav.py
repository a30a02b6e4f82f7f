"""Recordings of a tapped rim (.wav), read by scipy: 8 to 32 bits or floating point."""

from __future__ import annotations

import struct
import warnings
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.io import wavfile

from rimfea.arrays import Floats
from rimfea.errors import FileError
from rimfea.files.from_outside import MB, beginning
from rimfea.files.whole_file import file_errors
from rimfea.tapped.recording import LONGEST_S, Recording

MOST_BYTES = 100 * MB
REMEDY = "save it as WAV, 16 bit (PCM)"
# What other recordings begin with, and from which byte on.
OTHERS: Mapping[tuple[int, bytes], str] = MappingProxyType(
    {
        (0, b"ID3"): "is an MP3",
        (0, b"\xff\xfb"): "is an MP3",
        (0, b"OggS"): "is an OGG",
        (0, b"fLaC"): "is a FLAC",
        (0, b"FORM"): "is an AIFF",
        (4, b"ftyp"): "is an M4A or a film",
    }
)
# What a sample of the full scale is.
FULL: Mapping[str, float] = MappingProxyType(
    {"uint8": 128.0, "int16": 2.0**15, "int32": 2.0**31, "float32": 1.0, "float64": 1.0}
)


def read_recording(path: str | Path) -> Recording:
    """The recording in a .wav file, of two channels the louder one.

    Raises :class:`~rimfea.errors.FileError` for what is missing, too large, no WAV or broken, and
    :class:`~rimfea.errors.RecordingError` for one that tells nothing.
    """
    start = beginning(Path(path), str(path))
    for (place, magic), told in OTHERS.items():
        if start[place:].startswith(magic):
            raise FileError(f"{path}: {told}; {REMEDY}")
    if start[:4] not in (b"RIFF", b"RIFX", b"RF64") or start[8:12] != b"WAVE":
        raise FileError(f"{path}: is no WAV; {REMEDY}")
    with file_errors(path, "read"), Path(path).open("rb") as file:
        raw = file.read(MOST_BYTES + 1)
    if len(raw) > MOST_BYTES:
        raise FileError(f"{path}: is larger than {MOST_BYTES // MB} MB; cut it to a minute at most")
    rate, samples = _samples(raw, path)
    if len(samples) > LONGEST_S * max(rate, 1):
        told = f"lasts {len(samples) / max(rate, 1):.0f} s; cut it to {LONGEST_S:.0f} s at most"
        raise FileError(f"{path}: {told}")
    return Recording(_sound(samples), float(rate), str(path))


def _samples(raw: bytes, path: str | Path) -> tuple[int, NDArray[np.generic]]:
    """Samples a second, and the samples (s,) or (s, channels) as they are stored."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", wavfile.WavFileWarning)
            # Notes of the recorder, of which nothing is read.
            warnings.filterwarnings("ignore", r"Chunk \(non-data\)", wavfile.WavFileWarning)
            rate, samples = wavfile.read(BytesIO(raw))
    except wavfile.WavFileWarning:
        told = "ends before the sound that it promises; copy it again"
        raise FileError(f"{path}: {told}, or {REMEDY}") from None
    except (ValueError, TypeError, ArithmeticError, EOFError, UnboundLocalError, struct.error):
        raise FileError(f"{path}: cannot be read as WAV; {REMEDY}") from None
    if samples.dtype.name not in FULL or samples.ndim > 2:
        raise FileError(f"{path}: has samples of a kind that is not read; {REMEDY}")
    if not samples.size:
        raise FileError(f"{path}: holds no sound; record again")
    return rate, samples


def _sound(samples: NDArray[np.generic]) -> Floats:
    """The louder channel (s,), of the full scale 1."""
    channels = samples.reshape(len(samples), -1).astype(np.float64) / FULL[samples.dtype.name]
    sound = channels - (1.0 if samples.dtype == np.uint8 else 0.0)
    if not np.isfinite(sound).all():  # a recording of it is refused
        return sound.ravel()
    return np.ascontiguousarray(sound[:, sound.std(axis=0).argmax()])
