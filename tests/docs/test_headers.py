# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Every public function has a comment: test_headers.py SOURCE_ROOT. The comment stands directly
above it, or above the group of declarations, without a blank line between, that it belongs to."""
import pathlib
import re
import sys

FUNCTION = re.compile(r'^SF_API\b[^;{]*?\b(sf_\w+)\(', re.M)
BARE = '/* A struct. */\ntypedef struct sf_thing { int a; } sf_thing;\n\nSF_API int sf_bare(int a);\n'


def is_told(words, start):
    """Whether the paragraph that holds the function at `start` begins with a comment."""
    paragraph = words[words.rfind('\n\n', 0, start) + 1:start].lstrip('\n')
    return paragraph.startswith('/*') and '*/' in paragraph


def untold(words):
    return [match[1] for match in FUNCTION.finditer(words) if not is_told(words, match.start())]


assert untold(BARE) == ['sf_bare'], 'a function without a comment is not noticed'
headers = sorted(pathlib.Path(sys.argv[1], 'include/spotfield').glob('*.h'))
texts = {path.name: path.read_text(encoding='utf-8') for path in headers}
marked = sum(len(re.findall(r'^SF_API\b', words, re.M)) for words in texts.values())
read = sum(len(FUNCTION.findall(words)) for words in texts.values())
faults = [f'{name}: {function} has no comment' for name, words in texts.items()
          for function in untold(words)]
if marked != read or not read:
    faults.append(f'{marked} functions are marked SF_API, but {read} were understood')
print('\n'.join(faults))
sys.exit(bool(faults))
