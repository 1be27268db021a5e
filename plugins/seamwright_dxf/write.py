"""Writing a DXF file, its rule table, and the plan beside it."""

from __future__ import annotations

from seamwright.model import Pattern
from seamwright.plugins.api import (
    Context,
    Finding,
    Part,
    SeamwrightError,
    Severity,
    WriteResult,
)

from .options import DxfOut
from .rules.writing import table_text
from .writing.letters import lettered
from .writing.standard import write_standard


def write(pattern: Pattern, options: DxfOut, ctx: Context) -> WriteResult:
    """The parts of the output: the drawing, the rule table (.rul), the plan (.plan.toml)."""
    findings: list[Finding] = []
    if not any(p.shapes for p in pattern.pieces):
        raise SeamwrightError.of(
            "dxf.nothing",
            "the pattern has no piece in any size: there is nothing to write",
            hint="look at what was read",
        )
    rules = pattern.grade_rules
    with_rules = rules is not None and options.rule_table
    table_name = (rules.name or pattern.name) if rules is not None and with_rules else ""
    if options.kind == "standard":
        data = write_standard(pattern, options, rule_table=table_name, findings=findings)
    elif options.kind == "cad-r12":
        from .writing.cad_r12 import write_r12  # noqa: PLC0415 - each kind alone

        data = write_r12(pattern, options, rule_table=table_name, findings=findings)
    else:
        from .writing.cad_r2010 import write_r2010  # noqa: PLC0415 - needs ezdxf

        data = write_r2010(pattern, options, rule_table=table_name, findings=findings)
    parts = [Part(data=data)]
    if rules is not None and with_rules:
        text = table_text(
            rules, reading=options.deltas, unit=options.unit, name=pattern.name,
            decimals=options.decimals,
        )  # fmt: skip
        lines = [lettered(line, options.letters) for line in text.split("\r\n")]
        parts.append(Part(data="\r\n".join(lines).encode("ascii"), suffix=".rul"))
    elif rules is not None:
        findings.append(
            Finding(
                code="rules.not-written",
                severity=Severity.WARNING,
                message="the grade rules are not written: a rule table beside the file would "
                "hold them",
                hint="rule-table = true",
            )
        )
    if options.plan and pattern.seams:
        from seamwright.plan import plan_of, plan_toml  # noqa: PLC0415 - only with a plan

        plan = plan_toml(plan_of(pattern))
        parts.append(Part(data=plan.encode(), suffix=".plan.toml", yields=True))
        findings.append(
            Finding(
                code="plan.beside",
                severity=Severity.NOTE,
                message=f"{len(pattern.seams)} seams with their ease are written into a plan "
                "beside the file (one that lies there already stays)",
            )
        )
    return WriteResult(parts=tuple(parts), findings=tuple(findings))
