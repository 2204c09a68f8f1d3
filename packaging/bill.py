"""The bill of materials: every crate that the program is made of, with version, licence and digest, as CycloneDX 1.6.

usage: bill.py FILE SECONDS-SINCE-1970     held to the schema that CycloneDX publishes; the same bytes each time from the same Cargo.lock

Needs Python 3.11, cargo, and what packaging/requirements.txt names."""

import json
import subprocess
import sys
import tomllib
from datetime import datetime, timezone
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model import ExternalReference, ExternalReferenceType, HashAlgorithm, HashType, XsUri
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.output.json import JsonV1Dot6
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
from packageurl import PackageURL


def crates():
    """The program's package, those that go into it on any system, and what each needs: not those of tests, and not what only the build needs."""
    def cargo(*words):
        return subprocess.run(["cargo", *words, "--locked"], capture_output=True, text=True, check=True).stdout

    listed = cargo("tree", "--edges", "normal", "--target", "all", "--prefix", "none", "--format", "{p}")
    shipped = {tuple(line.split()[:2]) for line in listed.splitlines()}
    metadata = json.loads(cargo("metadata", "--format-version", "1"))
    packages = {p["id"]: p for p in metadata["packages"] if (p["name"], "v" + p["version"]) in shipped}
    needs = {n["id"]: [d["pkg"] for d in n["deps"] if d["pkg"] in packages and any(k["kind"] is None for k in d["dep_kinds"])] for n in metadata["resolve"]["nodes"]}
    return packages[metadata["resolve"]["root"]], packages, needs


def component(package, digests, kind=ComponentType.LIBRARY):
    name, version, licence = package["name"], package["version"], package["license"]
    digest = digests.get((name, version))
    return Component(
        type=kind, name=name, version=version, description=package["description"], purl=PackageURL("cargo", name=name, version=version), bom_ref=f"{name}@{version}",
        licenses=[LicenseFactory().make_from_string(licence.replace("/", " OR "))] if licence else [],  # how old crates write it
        hashes=[HashType(alg=HashAlgorithm.SHA_256, content=digest)] if digest else [],
        external_references=[ExternalReference(type=ExternalReferenceType.VCS, url=XsUri(package["repository"]))] if package["repository"] else [])


def main(file, seconds):
    root, packages, needs = crates()
    lock = Path("Cargo.lock").read_bytes()
    digests = {(p["name"], p["version"]): p.get("checksum") for p in tomllib.loads(lock.decode())["package"]}
    parts = {i: component(p, digests, ComponentType.APPLICATION if p is root else ComponentType.LIBRARY) for i, p in packages.items()}
    bom = Bom(serial_number=uuid5(NAMESPACE_URL, lock.decode()), components=[c for i, c in parts.items() if i != root["id"]])
    bom.metadata.timestamp = datetime.fromtimestamp(seconds, timezone.utc)
    bom.metadata.component = parts[root["id"]]
    for i, part in parts.items():
        bom.register_dependency(part, [parts[n] for n in needs[i]])
    text = JsonV1Dot6(bom).output_as_string(indent=1) + "\n"
    wrong = JsonStrictValidator(SchemaVersion.V1_6).validate_str(text)
    if wrong:
        sys.exit(f"not as the schema says: {wrong}")
    Path(file).write_text(text)
    print(f"{len(parts)} crates")


main(sys.argv[1], int(sys.argv[2]))
