# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""As much of JSON Schema (draft 2020-12) as docs/schema uses; any other keyword is refused."""
import json

TYPES = {'object': dict, 'array': list, 'string': str, 'boolean': bool, 'null': type(None)}
WORDS = {'$schema', '$id', 'title', 'description'}


def schema_read(path):
    """The schema of a file, each $ref replaced by what stands under its name in $defs."""
    schema = json.loads(path.read_text(encoding='utf-8'))
    definitions = schema.pop('$defs', {})

    def resolved(part):
        if isinstance(part, dict) and '$ref' in part:
            return resolved(definitions[part['$ref'].removeprefix('#/$defs/')])
        if isinstance(part, dict):
            return {name: resolved(inner) for name, inner in part.items()}
        return part
    return resolved(schema)


def has_type(value, name):
    if name in ('number', 'integer'):
        return isinstance(value, (int, float) if name == 'number' else int) and not isinstance(value, bool)
    return isinstance(value, TYPES[name])


def faults_of(value, schema, path='$'):
    """Each way in which the value breaks the schema, as a line."""
    faults = []
    for keyword, wanted in schema.items():
        check = KEYWORDS.get(keyword)
        if check:
            faults += check(value, wanted, schema, path)
        elif keyword not in WORDS:
            raise ValueError(f'{path}: keyword {keyword} is not checked')
    return faults


def unless(holds, path, what):
    return [] if holds else [f'{path}: {what}']


def check_type(value, wanted, _, path):
    names = wanted if isinstance(wanted, list) else [wanted]
    return unless(any(has_type(value, name) for name in names), path, f'is no {wanted}')


def check_properties(value, wanted, _, path):
    if not isinstance(value, dict):
        return []
    return [fault for name, schema in wanted.items() if name in value
            for fault in faults_of(value[name], schema, f'{path}.{name}')]


def check_additional(value, wanted, schema, path):
    if wanted is not False:
        raise ValueError(f'{path}: additionalProperties other than false is not checked')
    extra = set(value) - set(schema['properties']) if isinstance(value, dict) else set()
    return unless(not extra, path, f'has unknown {sorted(extra)}')


def check_required(value, wanted, _, path):
    lacking = set(wanted) - set(value) if isinstance(value, dict) else set()
    return unless(not lacking, path, f'lacks {sorted(lacking)}')


def check_items(value, wanted, _, path):
    if not isinstance(value, list):
        return []
    return [fault for i, item in enumerate(value) for fault in faults_of(item, wanted, f'{path}[{i}]')]


def check_range(value, holds, path, what):
    return unless(not has_type(value, 'number') or holds(value), path, what)


KEYWORDS = {
    'type': check_type,
    'properties': check_properties,
    'additionalProperties': check_additional,
    'required': check_required,
    'items': check_items,
    'enum': lambda value, wanted, _, path: unless(value in wanted, path, f'is none of {wanted}'),
    'const': lambda value, wanted, _, path: unless(value == wanted, path, f'is not {wanted}'),
    'minimum': lambda value, wanted, _, path: check_range(
        value, lambda number: number >= wanted, path, f'is below {wanted}'),
    'maximum': lambda value, wanted, _, path: check_range(
        value, lambda number: number <= wanted, path, f'is above {wanted}'),
}
