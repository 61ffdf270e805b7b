"""Reads `cargo metadata` and fails when a dependency has a licence we have not agreed to."""

import json
import re
import sys

AGREED = {
    "MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Zlib", "Unlicense", "0BSD",
    "CC0-1.0", "Unicode-3.0", "MPL-2.0", "BSL-1.0", "MIT-0", "Apache-2.0 WITH LLVM-exception",
}


def agreed(licence):
    """True when one alternative (`OR`, `/`) consists of agreed licences only (`AND`)."""
    plain = licence.replace("(", "").replace(")", "")
    alternatives = re.split(r"\s+OR\s+|/", plain)
    return any(all(part.strip() in AGREED for part in re.split(r"\s+AND\s+", one)) for one in alternatives)


packages = json.load(sys.stdin)["packages"]
wrong = [(p["name"], p["license"]) for p in packages if not p["license"] or not agreed(p["license"])]
for name, licence in wrong:
    print(f"{name}: {licence}")
print(f"{len(packages)} packages read, {len(wrong)} with a licence not agreed to")
sys.exit(1 if wrong else 0)
