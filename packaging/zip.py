"""A folder as a zip file with one date and one order: the same bytes each time. usage: zip.py FOLDER FILE SECONDS-SINCE-1970"""

import sys
import time
import zipfile
from pathlib import Path

folder, file, seconds = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as out:
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        info = zipfile.ZipInfo(str(path.relative_to(folder)), time.gmtime(seconds)[:6])
        info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o100644 << 16
        out.writestr(info, path.read_bytes())
