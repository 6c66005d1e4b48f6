# SPDX-License-Identifier: GPL-3.0-or-later
# Holds answers in JSON against their schemas: schemas.py SCHEMA-FOLDER ANSWER-FOLDER, where the answers
# to SCHEMA.schema.json are SCHEMA.*.json. Every answer follows its schema; every key of a schema is in
# some answer; and no answer passes with a key more, a key less that all must have, or a value of
# another type, at any place.
import copy
import json
import pathlib
import sys

import jsonschema

failed = []


def complain(text):
    failed.append(text)
    print("FAIL", text)


def follows(validator, answer):
    return next(validator.iter_errors(answer), None)


def places(value, path=()):
    """Every place of an answer: its path with indices, and without them."""
    yield path, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from places(item, path + (key,))


def name_of(path):
    return "/".join("*" if isinstance(key, int) else key for key in path) or "/"


def at(value, path):
    for key in path:
        value = value[key]
    return value


def objects(schema):
    """Every object a schema describes."""
    if isinstance(schema, dict):
        if schema.get("type") == "object":
            yield schema
        for part in schema.values():
            yield from objects(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from objects(part)


def break_answer(validator, answer, tried, where):
    """Breaks an answer at each kind of place once: each break must be refused."""
    for path, value in places(answer):
        kind = name_of(path)
        if kind in tried:
            continue
        tried.add(kind)
        breaks = []
        broken = copy.deepcopy(answer)
        if path:
            # No schema of ours lets an object hold what a list does, or a list of lists.
            at(broken, path[:-1])[path[-1]] = [[[]]]
            breaks.append((broken, "another type"))
        if isinstance(value, dict):
            broken = copy.deepcopy(answer)
            at(broken, path)["no_such_key"] = 0
            breaks.append((broken, "a key more"))
            broken = copy.deepcopy(answer)
            at(broken, path).clear()
            breaks.append((broken, "an empty object"))
        for broken, what in breaks:
            if follows(validator, broken) is None:
                complain(f"{where}: {what} at {kind} is let pass")
    return tried


def judge_schema(path, answers):
    schema = json.loads(path.read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    name = path.name.split(".")[0]
    found = sorted(answers.glob(name + ".*.json"))
    tried, seen = set(), set()
    if not found:
        complain(f"{path.name}: no answer to hold against it")
    for described in objects(schema):
        if described.get("additionalProperties") is not False:
            complain(f"{path.name}: an object may hold any key: {list(described['properties'])[:3]}")
        if not set(described["required"]) <= set(described["properties"]):
            complain(f"{path.name}: asks for a key it does not know")
    for file in found:
        answer = json.loads(file.read_text())
        wrong = follows(validator, answer)
        if wrong is not None:
            complain(f"{file.name}: {name_of(wrong.absolute_path)}: {wrong.message[:300]}")
            continue
        for _, value in places(answer):
            if isinstance(value, dict):
                seen |= set(value)
        break_answer(validator, answer, tried, path.name)
    known = {key for described in objects(schema) for key in described["properties"]}
    for key in sorted(known - seen):
        complain(f"{path.name}: no answer has {key}")
    return len(found), len(tried)


def main(schemas, answers):
    count = 0
    for path in sorted(pathlib.Path(schemas).glob("*.schema.json")):
        found, tried = judge_schema(path, pathlib.Path(answers))
        print(f"{path.name}: {found} answers, broken at {tried} places")
        count += 1
    if count < 11:
        complain(f"{count} schemas: the check is blind")
    return 1 if failed else 0


sys.exit(main(*sys.argv[1:]))
