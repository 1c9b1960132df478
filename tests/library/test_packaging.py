# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds what is installed against docs and the Debian packages: test_packaging.py MESON BUILD_ROOT SOURCE_ROOT PREFIX
LIBRARY_FOLDER. Each document leads to what is installed beside it; each file installed is in one package, each line of
a package's list names a file installed, and the packages bear the number of the library that was built."""
import pathlib
import re
import subprocess
import sys
import tempfile

meson, build, root, prefix, library_folder = sys.argv[1:6]
root = pathlib.Path(root)
LINK = re.compile(r'\]\(([^)#:\s]+)(?:#[^)]*)?\)')  # to a file; what has a colon leads into the web
# what is for those who change the code stays with the source, and README alone leads there
SOURCE_ALONE = ('DEVELOPERS.md', 'tests/')
faults = []


def files_below(folder):
    return sorted(path for path in folder.rglob('*') if not path.is_dir())


def broken_links(place):
    return [f'{path.relative_to(place)}: leads to {link}, which is not installed'
            for path in place.rglob('*.md') for link in LINK.findall(path.read_text(encoding='utf-8'))
            if not (path.parent / link).exists() and not (path.name == 'README.md' and link.startswith(SOURCE_ALONE))]


def packaged(path):
    """Where Debian's build puts what is installed here."""
    for here, there in ((library_folder, 'usr/lib/triplet'), (prefix, 'usr')):
        if path.is_relative_to(here):
            return there / path.relative_to(here)
    sys.exit(f'{path}: is installed outside of {prefix}')


def is_named(path, pattern):
    """As dh_install has it: a pattern names files, or a folder with all in it."""
    return any(part.match(pattern) for part in (path, *path.parents))


def check_documents(share):
    documents, schemas = share / 'doc/spotfield', share / 'spotfield/schema'
    faults.extend(broken_links(documents))
    wanted = [(path, documents / 'docs' / path.name) for path in (root / 'docs').glob('*.md')]
    wanted += [(path, schemas / path.name) for path in (root / 'docs/schema').iterdir()]
    wanted += [(path, documents / 'demo/desk-supply' / path.name) for path in (root / 'demo/desk-supply').glob('*.csv')]
    wanted += [(root / 'docs/spotfield.1', share / 'man/man1/spotfield.1')]
    for source, place in wanted:
        if not place.is_file() or place.read_bytes() != source.read_bytes():
            faults.append(f'{source.relative_to(root)}: is not installed, or not as it is')
    for name in ('bash-completion/completions/spotfield', 'zsh/site-functions/_spotfield',
                 'fish/vendor_completions.d/spotfield.fish'):
        if 'explain' not in (share / name).read_text(encoding='utf-8'):
            faults.append(f'{name}: does not know explain')
    return len(wanted)


def lists_of(debian):
    """Each package's patterns; the second word of a line is where a file goes to."""
    found = {}
    for path in sorted([*debian.glob('*.install'), *debian.glob('*.manpages')]):
        found.setdefault(path.stem, []).extend(
            line.split()[0] for line in path.read_text(encoding='utf-8').splitlines() if line.strip())
    return found


def libraries_named(field, control):
    return set(re.findall(r'\blib(?!spotfield)\S+-dev\b', re.search(rf'^{field}:(.*(?:\n .*)*)', control, re.M)[1]))


def check_packages(debian, installed, number, version):
    control = (debian / 'control').read_text(encoding='utf-8')
    packages = re.findall(r'^Package: (\S+)$', control, re.M)
    # spotfield.pc asks for what the library was built with, also of a program that links it shared
    development = control[control.index('\nPackage: libspotfield-dev\n'):]
    faults.extend(f'libspotfield-dev: does not depend on {name}' for name in
                  sorted(libraries_named('Build-Depends', control) - libraries_named('Depends', development)))
    if f'libspotfield{number}' not in packages:
        faults.append(f'control: no package libspotfield{number} for the library\'s number')
    first = (debian / 'changelog').read_text(encoding='utf-8').splitlines()[0]
    if not first.startswith(f'spotfield ({version}) '):
        faults.append(f'changelog: {first} is not of version {version}')
    lists = lists_of(debian)
    for package in sorted(set(packages) ^ set(lists)):
        faults.append(f'{package}: a package without a list, or a list without a package')
    faults.extend(f'{package}: {pattern} names no installed file' for package, patterns in lists.items()
                  for pattern in patterns if not any(is_named(path, pattern) for path in installed))
    for path in installed:
        owners = [package for package, patterns in lists.items() if any(is_named(path, name) for name in patterns)]
        if len(owners) != 1:
            faults.append(f'{path}: is in {owners or "no package"}')
    for path in debian.rglob('*'):
        if path.is_file() and '@' in re.sub(r'<\S+@\S+>', '', path.read_text(encoding='utf-8').replace('$@', '')):
            faults.append(f'{path.name}: a place that was not filled in')
    return len(packages)


with tempfile.TemporaryDirectory() as folder:
    subprocess.run([meson, 'install', '-C', build, '--no-rebuild', '--quiet', '--destdir', folder], check=True)
    place = pathlib.Path(folder)
    documents = check_documents(place / prefix.lstrip('/') / 'share')
    paths = [pathlib.Path('/') / path.relative_to(place) for path in files_below(place)]
    library = f'{folder}{library_folder}'
    dynamic = subprocess.run(['readelf', '-d', f'{library}/libspotfield.so'], capture_output=True, text=True, check=True)
    soname = re.search(r'SONAME.*\[libspotfield\.so\.(\d+)\]', dynamic.stdout)[1]
    stated = re.search(r'^Version: (\S+)', pathlib.Path(f'{library}/pkgconfig/spotfield.pc').read_text(encoding='utf-8'),
                       re.M)[1]
    told = f'{documents} documents, {len(paths)} files'
    if (root / '.git').exists():
        subprocess.run(['sh', root / 'docs/packaging/lay-out.sh', place / 'laid'], check=True)
        count = check_packages(place / 'laid/debian', [packaged(path) for path in paths], soname, stated)
        told += f', {count} packages'
    else:
        print('skipped: the packages are laid out of a checkout, which this is not')
    print(told)
print('\n'.join(faults))
sys.exit(bool(faults))
