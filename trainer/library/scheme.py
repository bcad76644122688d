"""The scheme from its files: competencies with their criteria, and certificates.

competencies/C04.md    competency, title, short, modules, needs, safety_critical,
observer_competent, observers, months, recheck, hazards,
[[criteria]] id, text, critical; below the header: guidance
certificates/NAME.md   certificate, title, competencies, grinder_types, months
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from trainer.findings import Finding
from trainer.library.catalogue import Certificate, Competency, Criterion, Scheme
from trainer.library.front_matter import read_front_matter
from trainer.library.problems import problem
from trainer.library.table import Table

OTHER_FILE = problem(
    "LIB-551", "The file says '{text}' and is called '{name}'.", "Make them the same."
)
BAD_COMPETENCY = problem("LIB-552", "'{text}' cannot be a competency's id.", "Write it like C04.")
BAD_CERTIFICATE = problem(
    "LIB-553", "'{text}' cannot be a certificate's id.", "Use small letters, digits and -."
)
BAD_CRITERION = problem(
    "LIB-554", "'{text}' cannot be a criterion of {competency}.", "Write it like {competency}.1."
)
CRITERION_TWICE = problem("LIB-555", "The criterion '{text}' stands here twice.", "Count on.")
TWO_OBSERVERS = problem(
    "LIB-556",
    "A safety-critical competency is signed by {text} observer.",
    "Write observers = 2: two observers on two jobs.",
)
CRITICAL_WITHOUT = problem(
    "LIB-557",
    "A safety-critical competency has no critical criterion.",
    "Mark those that decide alone with critical = true.",
)

SCHEME_FILES = {
    "competencies": re.compile(r"C\d{2}\.md"),
    "certificates": re.compile(r"[a-z0-9-]+\.md"),
}


@dataclass(slots=True)
class ReadScheme:
    """A scheme, the tables of its files by id, and what reading them gave."""

    scheme: Scheme
    findings: list[Finding]
    tables: dict[str, Table] = field(default_factory=dict)
    files: tuple[str, ...] = ()  # those that could not be read as well

    def named(self, folder: str) -> frozenset[str]:
        """Ids of files in a folder, broken ones too, so that one fault is told once."""
        return frozenset(PurePosixPath(file).stem for file in self.files if file.startswith(folder))


def read_scheme(files: Mapping[str, str]) -> ReadScheme:
    """Read every competency and certificate of these files; broken ones are left out."""
    findings: list[Finding] = []
    read = ReadScheme(Scheme({}, {}), findings, files=tuple(sorted(files)))
    competencies: dict[str, Competency] = {}
    certificates: dict[str, Certificate] = {}
    for file in read.files:
        before = len(findings)
        front = read_front_matter(files[file], file=file, findings=findings)
        if front.table is None:
            continue
        note, table = front.body.strip(), front.table
        if file.startswith("competencies/"):
            competency = _competency(table, note)
            if len(findings) == before:
                competencies[competency.id] = competency
            read.tables[PurePosixPath(file).stem] = table
        else:
            certificate = _certificate(table, note)
            if len(findings) == before:
                certificates[certificate.id] = certificate
            read.tables[PurePosixPath(file).stem] = table
    read.scheme = Scheme(competencies, certificates)
    return read


def _competency(table: Table, note: str) -> Competency:
    name = _named(table, "competency", "'C04'", re.compile(r"C\d{2}"), BAD_COMPETENCY)
    title = table.text("title", "'Read and record counters'")
    safety_critical = table.flag("safety_critical", default=False)
    competency = Competency(
        id=name,
        title=title,
        short=table.text("short", "'read counters'", required=False) or title,
        modules=table.texts("modules", "['M03']", required=True),
        needs=table.texts("needs", "['C01']"),
        criteria=_criteria(table, name),
        safety_critical=safety_critical,
        observer_competent=table.flag("observer_competent", default=True),
        observers=table.whole("observers", low=1, high=3, default=1),
        months=table.whole("months", low=1, high=120, default=24),
        recheck=table.text("recheck", "'what shortly proves it'", required=False),
        hazards=table.texts("hazards", "['H01']"),
        note=note,
    )
    table.close()
    if safety_critical and competency.observers < 2:
        table.note(TWO_OBSERVERS, "observers", text=str(competency.observers))
    if safety_critical and not any(criterion.critical for criterion in competency.criteria):
        table.note(CRITICAL_WITHOUT, "safety_critical")
    return competency


def _criteria(table: Table, competency: str) -> tuple[Criterion, ...]:
    criteria: dict[str, Criterion] = {}
    for row in table.rows("criteria"):
        name = row.text("id", f"'{competency}.1'")
        criterion = Criterion(
            name, row.text("text", "'One observable act.'"), row.flag("critical", default=False)
        )
        row.close()
        if name and not re.fullmatch(rf"{re.escape(competency)}\.\d{{1,2}}", name):
            row.note(BAD_CRITERION, "id", text=name, competency=competency)
        elif name in criteria:
            row.note(CRITERION_TWICE, "id", text=name)
        else:
            criteria[name] = criterion
    return tuple(criteria.values())


def _certificate(table: Table, note: str) -> Certificate:
    pattern = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
    certificate = Certificate(
        id=_named(table, "certificate", "'counter-reading'", pattern, BAD_CERTIFICATE),
        title=table.text("title", "'Counter reading on commercial grinders'"),
        competencies=table.texts("competencies", "['C04']", required=True),
        grinder_types=table.texts("grinder_types", "['QT-64']", required=True),
        months=table.whole("months", low=1, high=120),
        note=note,
    )
    table.close()
    return certificate


def _named(table: Table, key: str, example: str, pattern: re.Pattern[str], code: str) -> str:
    """The id of a file, which is also the file's name."""
    name = table.text(key, example)
    stem = PurePosixPath(table.file).stem
    if name and not pattern.fullmatch(name):
        table.note(code, key, text=name)
    elif name and name != stem:
        table.note(OTHER_FILE, key, text=name, name=stem)
    return name
