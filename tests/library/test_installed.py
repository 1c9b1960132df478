# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Installs the build into a scratch folder, builds samples/consumer with the installed pkg-config
file, shared and static, and holds what it prints against a formula:
test_installed.py MESON BUILD_ROOT SOURCE_ROOT LIBRARY_FOLDER -- COMPILER OPTION..."""
import math
import os
import pathlib
import re
import subprocess
import sys
import tempfile

meson, build, root, library_folder = sys.argv[1:5]
compiler = sys.argv[6:]
sample = pathlib.Path(root, 'samples/consumer/consumer.c')


def output_of(words, **environment):
    done = subprocess.run(words, capture_output=True, text=True, check=False,
                          env={**os.environ, **environment})
    if done.returncode:
        sys.exit(f'{words} failed:\n{done.stdout}{done.stderr}')
    return done.stdout


def trapezoid(function, end, steps=4000):
    inner = sum(function(end * i / steps) for i in range(1, steps))
    return end / steps * ((function(0) + function(end)) / 2 + inner)


def bessel_i1(x):
    return trapezoid(lambda t: math.exp(x * math.cos(t)) * math.cos(t), math.pi) / math.pi


def bessel_k0(x):
    """The integral over exp(-x cosh t); beyond 12 nothing of it is left."""
    return trapezoid(lambda t: math.exp(-x * math.cosh(t)), 12)


def plate_rise_k(x_mm, y_mm):
    """Endless plate that loses heat in proportion to its rise, u - L^2 laplace u = q / h, under two
    discs of the area of the sample's sources: (q / h) (a / L) I1(a / L) K0(r / L) outside of them.
    H. S. Carslaw and J. C. Jaeger, Conduction of Heat in Solids (fin equation on a plane sheet),
    integral forms of the Bessel functions by M. Abramowitz and I. A. Stegun, 9.6.19 and 9.6.24;
    all from memory. The sample's six readings are the same formula's, to 0.1 K, with the watts
    below; conductivities of FR-4 and copper and the loss of still air from handbooks, from memory."""
    loss_w_mm2k = 15e-6
    conductance_w_k = 0.8 * 1.6e-3 + 390 * 2 * 35e-6 * 0.4 ** 2
    length_mm = math.sqrt(conductance_w_k / loss_w_mm2k)
    rise_k = 0
    for source_x_mm, source_y_mm, side_mm, power_w in ((66, 58, 14, 1.3), (112, 70, 12, 0.7)):
        a = side_mm / math.sqrt(math.pi) / length_mm
        r = math.hypot(x_mm - source_x_mm, y_mm - source_y_mm) / length_mm
        even_k = power_w / (side_mm ** 2 * loss_w_mm2k)
        rise_k += even_k * a * bessel_i1(a) * bessel_k0(r)
    return rise_k


def settings(place):
    """How pkg-config is told that what it finds lies below `place`."""
    return {'PKG_CONFIG_PATH': f'{place}{library_folder}/pkgconfig', 'PKG_CONFIG_SYSROOT_DIR': place,
            'PKG_CONFIG_ALLOW_SYSTEM_CFLAGS': '1', 'PKG_CONFIG_ALLOW_SYSTEM_LIBS': '1'}


def links(place, kind):
    """What to link with, by the installed pkg-config file."""
    if kind == 'shared':
        return output_of(['pkg-config', '--libs', 'spotfield', 'gsl'], **settings(place)).split()
    # the library alone is static: what it needs itself may stand there as a shared library only,
    # so its private requirements are asked for one step deep
    needed = output_of(['pkg-config', '--print-requires-private', 'spotfield'], **settings(place)).split('\n')
    modules = [line.split()[0] for line in needed if line]
    description = pathlib.Path(f'{place}{library_folder}/pkgconfig/spotfield.pc').read_text(encoding='utf-8')
    private = re.search(r'^Libs\.private:(.*)', description, re.M)[1].split()
    return [f'{place}{library_folder}/libspotfield.a', *private,
            *output_of(['pkg-config', '--libs', *modules]).split()]


def built_and_run(place, kind):
    program = f'{place}/consumer-{kind}'
    flags = output_of(['pkg-config', '--cflags', 'spotfield', 'gsl'], **settings(place)).split()
    output_of([*compiler, '-std=c17', '-Wall', '-Wextra', '-Werror', *flags, '-o', program, str(sample),
               *links(place, kind), '-lm'])
    loaded = output_of(['readelf', '-d', program])
    if ('libspotfield.so' in loaded) != (kind == 'shared'):
        sys.exit(f'the {kind} program loads what it should not, or not what it should:\n{loaded}')
    searched = [f'{place}{library_folder}', os.environ.get('LD_LIBRARY_PATH')]
    return output_of([program], LD_LIBRARY_PATH=':'.join(filter(None, searched)))


def check_rise(kind, printed):
    told = re.fullmatch(r'C7 rise_k (\S+) sd_k (\S+)\n', printed)
    if not told:
        sys.exit(f'{kind}: cannot be read: {printed}')
    rise_k, sd_k = float(told[1]), float(told[2])
    wanted_k = plate_rise_k(92, 72)
    # coverage factor 3; the doubt of a place amid readings of 14 to 31 K is below their spread
    if not 0 < sd_k < 5 or abs(rise_k - wanted_k) > 3 * sd_k:
        sys.exit(f'{kind}: {rise_k} +/- {sd_k} K instead of {wanted_k:.2f} K')


with tempfile.TemporaryDirectory() as folder:
    output_of([meson, 'install', '-C', build, '--no-rebuild', '--quiet', '--destdir', folder])
    answers = {kind: built_and_run(folder, kind) for kind in ('shared', 'static')}
    print(answers)
    for name, answer in answers.items():
        check_rise(name, answer)
    if answers['shared'] != answers['static']:
        sys.exit('shared and static library answer differently')
