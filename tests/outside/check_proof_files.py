"""The proofs of fixtures/proofs, by a foreign checker and by formulas written anew.

    python check_proof_files.py --veripb PATH

Of each folder in valid/ and invalid/ the second line of the text beside it says what comes of it here: `outside: accepts`,
or `outside: refuses FILE` with the files of which something is wrong. A formula is refused where it is not the one that
formulas.py writes, row by row; a proof where `veripb` does not verify what the claim needs; claims.json where its numbers
or the digests of plan and files are others. What is valid must be accepted. What is invalid must be refused, or the line
goes on with `;` and tells why it is not: the format has more than `wattberth verify` reads. One line per disagreement;
exit code 1 on any. With --write the lines are written anew; reasons stay.
"""

import argparse
import hashlib
import json
import pathlib
import shutil
import sys
import tempfile

import check_proofs
import every_plan
import formulas
import model
import orders
import rotas
import setups

PROOFS = pathlib.Path(__file__).parents[2] / "fixtures/proofs"


def planned(base):
    """The question of a setup, and what its plan claims."""
    setup = setups.resolve(json.loads((PROOFS / f"setups/{base}.json").read_text()))
    plan = json.loads((PROOFS / f"plans/{base}.json").read_text())
    question = rotas.Rota(setup) if setup.sessions else every_plan.OneSession(setup)
    chosen, faults = orders.read_berths(question, plan["berths"])
    if faults:
        raise ValueError(f"{base}: {faults}")
    return question, formulas.claimed(question, chosen, model.micro(plan.get("bound_h", 0)))


def sha256(path):
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else None


def right_claims(folder, base, told):
    """Whether claims.json tells of this plan, its numbers, and the files as they are."""
    try:
        said = json.loads((folder / "claims.json").read_text())
        numbers = said["claimed"]
    except (ValueError, KeyError):
        return False
    counted = (*numbers["unserved"], numbers["missing"], *numbers["late"])
    theirs = counted, numbers["longest"], numbers["least_longest"]
    files = {f"{claim['name']}.{form}": claim[f"{field}_sha256"]
             for claim in said["claims"] for form, field in (("opb", "formula"), ("pbp", "proof"))}
    return (
        said["version"] == 3
        and said["plan_sha256"] == sha256(PROOFS / f"plans/{base}.json")
        and theirs == (told.counted, told.longest_u, told.least_longest_u)
        and all(sha256(folder / name) in (digest, None) for name, digest in files.items())
    )


def same_formula(question, told, path):
    try:
        read = formulas.read(path.read_text())
    except (OSError, ValueError, TypeError):
        return False
    return formulas.differ(formulas.of(question, told, path.stem), read) is None


def whole(own, folder):
    """The files of a proof in a folder: its own, and those of the sound one that it was made of."""
    sound, without = PROOFS / "valid" / own.name.split(".")[0], own / "without.txt"
    gone = without.read_text().split() if without.exists() else []
    for path in [*(path for path in sound.iterdir() if path.name not in gone), *own.iterdir()]:
        if path != without:
            shutil.copy(path, folder)


def refused(own, veripb):
    """The files of which something is wrong, in order."""
    with tempfile.TemporaryDirectory() as made:
        folder = pathlib.Path(made)
        whole(own, folder)
        return refused_of(own.name.split(".")[0], folder, veripb)


def refused_of(base, folder, veripb):
    question, told = planned(base)
    wrong = [] if right_claims(folder, base, told) else ["claims.json"]
    due, there = formulas.names(question, told), [path.stem for path in folder.glob("*.pbp")]
    for name in sorted({*due, *there}):
        formula, proof = folder / f"{name}.opb", folder / f"{name}.pbp"
        if name in formulas.names(question, told, True) and not same_formula(question, told, formula):
            wrong.append(formula.name)
        elif not formula.exists() or not check_proofs.verified(veripb, formula, proof):
            wrong.append(proof.name)
    return wrong


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--veripb", default="veripb", help="path of the foreign checker (default %(default)s)")
    arguments.add_argument("--write", action="store_true", help="write the lines anew, to be read then")
    given = arguments.parse_args()
    if shutil.which(given.veripb) is None:
        arguments.error(f"{given.veripb} is not a program")
    failed, counts = 0, {"valid": [0, 0], "invalid": [0, 0]}
    for kind in counts:
        for folder in sorted(path for path in (PROOFS / kind).iterdir() if path.is_dir()):
            path = folder.with_name(f"{folder.name}.txt")
            lines = path.read_text().split("\n")
            wrong = refused(folder, given.veripb)
            said, _, reason = lines[1].partition("; ")
            now = f"outside: refuses {', '.join(wrong)}" if wrong else "outside: accepts"
            counts[kind][bool(wrong)] += 1
            if given.write:
                lines[1] = f"{now}; {reason}" if reason and not wrong else now
                path.write_text("\n".join(lines))
            elif said != now:
                failed += 1
                print(f"{kind}/{folder.name}: `{said}`, and here `{now}`")
            if kind == "valid" and wrong:
                failed += 1
                print(f"valid/{folder.name} is refused here: {', '.join(wrong)}")
            if kind == "invalid" and not wrong and not reason:
                failed += 1
                print(f"invalid/{folder.name} is accepted here, and its text does not say why")
    for kind, (accepted, of_refused) in counts.items():
        print(f"{kind}: {accepted} accepted, {of_refused} refused")
    return 1 if failed or not all(map(any, counts.values())) else 0


if __name__ == "__main__":
    sys.exit(main())
