"""Outside projects use Lutum in the three ways it can be had, with and without the components."""

import shutil
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
COMPONENTS = "-DCOMPONENTS=uncertainty;report"
WITHOUT_EIGEN_AND_FMT = ["-DCMAKE_DISABLE_FIND_PACKAGE_Eigen3=ON", "-DCMAKE_DISABLE_FIND_PACKAGE_fmt=ON"]
VARIANTS = {"plain": WITHOUT_EIGEN_AND_FMT, "components": [COMPONENTS]}


@pytest.fixture(scope="session")
def prefix(repository: Path, build_folder: Path, run) -> Path:
    """Lutum's headers installed to a prefix by a build that knows neither Eigen nor fmt."""
    build, target = build_folder / "install", build_folder / "prefix"
    shutil.rmtree(target, ignore_errors=True)
    off = [f"-DLUTUM_BUILD_{part}=OFF" for part in ("TESTS", "EXAMPLES", "KERNELS")]
    run("cmake", "-S", repository, "-B", build, "-G", "Ninja", "--fresh", *off, *WITHOUT_EIGEN_AND_FMT)
    run("cmake", "--install", build, "--prefix", target)
    return target


@pytest.fixture
def configure(build_folder: Path, run):
    """Configures a consumer and gives its build folder, or the completed command when it may fail."""

    def configure_consumer(consumer: str, variant: str, *options: object, may_fail: bool = False):
        build = build_folder / f"{consumer}-{variant}"
        done = run(
            "cmake", "-S", HERE / consumer, "-B", build, "-G", "Ninja", "--fresh", *options, may_fail=may_fail
        )
        return done if may_fail else build

    return configure_consumer


@pytest.fixture
def build_and_test(run):
    """Builds a configured consumer and runs its programs."""

    def build_consumer(build: Path, programs: int) -> None:
        run("cmake", "--build", build)
        report = run("ctest", "--test-dir", build, "--output-on-failure", "--no-tests=error").stdout
        assert report.count(" Passed ") == programs

    return build_consumer


@pytest.mark.parametrize("variant", VARIANTS)
def test_installed(variant: str, prefix: Path, configure, build_and_test) -> None:
    build = configure("consumer_installed", variant, f"-Dlutum_ROOT={prefix}", *VARIANTS[variant])
    build_and_test(build, programs=1 if variant == "plain" else 3)


@pytest.mark.parametrize("variant", VARIANTS)
def test_subdirectory(variant: str, repository: Path, configure, build_and_test) -> None:
    build = configure("consumer_subdirectory", variant, f"-DLUTUM_FOLDER={repository}", *VARIANTS[variant])
    build_and_test(build, programs=1 if variant == "plain" else 3)


@pytest.mark.parametrize("variant", VARIANTS)
def test_wheel(variant: str, configure, build_and_test) -> None:
    build = configure("consumer_wheel", variant, f"-DPython_EXECUTABLE={sys.executable}", *VARIANTS[variant])
    build_and_test(build, programs=1 if variant == "plain" else 3)


@pytest.mark.parametrize(
    ("component", "needs"), [("uncertainty", "Eigen 3.4"), ("report", "fmt"), ("mud", "no component")]
)
def test_a_component_that_cannot_be_had_is_named(component: str, needs: str, prefix: Path, configure) -> None:
    options = [f"-Dlutum_ROOT={prefix}", f"-DCOMPONENTS={component}", *WITHOUT_EIGEN_AND_FMT]
    done = configure("consumer_installed", f"without-{component}", *options, may_fail=True)
    assert done.returncode != 0
    assert needs in " ".join(done.stderr.split())


def test_an_installed_lutum_carries_the_option_that_keeps_bits(prefix: Path) -> None:
    targets = (prefix / "share/cmake/lutum/lutum_lutumTargets.cmake").read_text()
    assert "-ffp-contract=off" in targets
    assert str(prefix) not in targets, "the installed files must work after being moved"
