"""A content folder to a library, with every finding of every file at once.

    content/
      cautions.md
      modules/M03/…              see ``module_files``
      competencies/, certificates/   see ``scheme``

Nothing an author does wrong raises. A module with an error stays out of the library; remarks keep
nothing out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from trainer.canonical import Plain
from trainer.findings import Finding, has_errors, worst_first
from trainer.library import edition
from trainer.library.catalogue import Caution, Library, Module, Scheme
from trainer.library.cautions import read_cautions
from trainer.library.cross_check import check_modules, check_scheme
from trainer.library.module import Built, build
from trainer.library.module_files import BAD_MODULE, MODULE_ID
from trainer.library.problems import finding, problem
from trainer.library.scheme import SCHEME_FILES, ReadScheme, read_scheme
from trainer.library.sources import LINK, MODULE_FILES, Sources, decode, read_bytes, read_folder

NO_FOLDER = problem(
    "LIB-001", "There is no folder '{text}'.", "Name the folder that holds modules/."
)
NO_MODULES = problem(
    "LIB-002", "The folder holds no modules.", "Put them in modules/M01 and so on."
)


def read(folder: Path) -> tuple[Library, tuple[Finding, ...]]:
    """Read a whole content folder.

    Returns:
        The library of everything without an error, and all findings, worst first. File names in
        findings are paths inside the folder.
    """
    if not folder.is_dir():
        nothing = Library({}, Scheme({}, {}), {})
        return nothing, (finding(NO_FOLDER, folder.name, 0, text=str(folder)),)
    findings: list[Finding] = []
    cautions = _cautions(folder, findings)
    built: dict[str, Built] = {}
    sources: dict[str, Sources] = {}
    for path in _module_folders(folder, findings):
        one, files = _read_module(path, cautions, base=f"modules/{path.name}/")
        built[path.name], sources[path.name] = one, files
    if not built:
        findings.append(finding(NO_MODULES, "modules", 0))
    scheme, scheme_files = _scheme(folder)
    check_modules(built, scheme)
    check_scheme(scheme, built, cautions)
    library = _library(built, sources, cautions, scheme, scheme_files)
    findings.extend(scheme.findings)
    findings.extend(found for one in built.values() for found in one.findings)
    return library, worst_first(dict.fromkeys(findings))


def read_module(
    folder: Path, cautions: Mapping[str, Caution]
) -> tuple[Module | None, tuple[Finding, ...], dict[str, Plain]]:
    """Read one module's folder alone, without a look at what stands around it.

    Returns:
        The module, or None when a finding is an error; the findings, worst first; the canonical
        form.
    """
    built, sources = _read_module(folder, cautions, base=f"modules/{folder.name}/")
    canonical = edition.canonical(built.id, sources, built.used)
    module = built.module
    if module is not None:
        module = replace(module, hash=edition.digest(canonical))
    return module, worst_first(built.findings), canonical


def _read_module(
    folder: Path, cautions: Mapping[str, Caution], *, base: str
) -> tuple[Built, Sources]:
    sources, findings = read_folder(folder, base=base, names=MODULE_FILES)
    built = build(sources, cautions, folder=folder.name, base=base)
    built.findings.extend(findings)
    if not MODULE_ID.fullmatch(folder.name):
        built.findings.append(finding(BAD_MODULE, base.rstrip("/"), 0, text=folder.name))
    if has_errors(built.findings):
        built.module = None
    return built, sources


def _library(
    built: Mapping[str, Built],
    sources: Mapping[str, Sources],
    cautions: Mapping[str, Caution],
    scheme: ReadScheme,
    scheme_files: Mapping[str, str],
) -> Library:
    """Everything without an error, each with its canonical form and hash."""
    modules: dict[str, Module] = {}
    canonical: dict[str, Mapping[str, Plain]] = {}
    for name, one in built.items():
        if one.module is None or has_errors(one.findings):
            continue
        canonical[name] = edition.canonical(name, sources[name], one.used)
        modules[name] = replace(one.module, hash=edition.digest(canonical[name]))
    whole = scheme.scheme
    if not has_errors(scheme.findings):
        canonical["scheme"] = edition.scheme_canonical(scheme_files)
        whole = replace(whole, hash=edition.digest(canonical["scheme"]))
    return Library(modules, whole, cautions, canonical, tuple(built))


def _cautions(folder: Path, findings: list[Finding]) -> dict[str, Caution]:
    path = folder / "cautions.md"
    if not path.is_file():
        return {}
    content = read_bytes(path, file=path.name, findings=findings)
    text, problems = decode(content or b"", file=path.name)
    findings.extend(problems)
    cautions, found = read_cautions(text or "", file=path.name)
    findings.extend(found)
    return cautions


def _module_folders(folder: Path, findings: list[Finding]) -> list[Path]:
    modules = folder / "modules"
    if not modules.is_dir():
        return []
    paths = sorted(modules.iterdir(), key=lambda path: path.name)
    inside = folder.resolve()
    kept = []
    for path in paths:
        if path.name.startswith(".") or not path.is_dir():
            continue
        if path.is_symlink() and not path.resolve().is_relative_to(inside):
            findings.append(finding(LINK, f"modules/{path.name}", 0, text=path.name))
            continue
        kept.append(path)
    return kept


def _scheme(folder: Path) -> tuple[ReadScheme, dict[str, str]]:
    files: dict[str, str] = {}
    findings: list[Finding] = []
    for name, names in SCHEME_FILES.items():
        if not (folder / name).is_dir():
            continue
        sources, found = read_folder(folder / name, base=f"{name}/", names=names)
        findings.extend(found)
        files |= {f"{name}/{file}": text for file, text in sources.files.items()}
    scheme = read_scheme(files)
    scheme.findings.extend(findings)
    return scheme, files
