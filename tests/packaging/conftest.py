"""What the packaging tests share: the repository, a build folder that is kept, and running a command."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def repository() -> Path:
    return Path(__file__).parents[2]


@pytest.fixture(scope="session")
def build_folder(repository: Path) -> Path:
    folder = repository / "build" / "packaging"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


@pytest.fixture(scope="session")
def run() -> Run:
    """Runs a command and, unless told that it may fail, fails the test with what it printed."""

    def run_command(*command: object, may_fail: bool = False) -> subprocess.CompletedProcess[str]:
        done = subprocess.run([str(word) for word in command], capture_output=True, text=True)
        if done.returncode != 0 and not may_fail:
            pytest.fail(f"{' '.join(map(str, command))}\n{done.stdout[-3000:]}\n{done.stderr[-6000:]}", pytrace=False)
        return done

    return run_command
