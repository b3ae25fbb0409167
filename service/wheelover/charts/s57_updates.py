"""Applying an update to a chart cell [S57A]_: whole, or not at all."""

from wheelover.charts.s57_records import (
    DEEP_PLACE,
    DELETE,
    INSERT,
    MODIFY,
    PLACE,
    POINTER,
    STRUCK_OUT,
    VECTOR_POINTER,
    Change,
    DataSet,
    Feature,
    Ident,
    Parameters,
    Texts,
    Vector,
    changes,
)


def updated(data: DataSet, body: bytes, ident: Ident) -> tuple[DataSet, int]:
    """Return a cell with one update applied; the one given stays as it is.

    Parameters
    ----------
    data : DataSet
        The cell as the update before left it.
    body : bytes
        The update.
    ident : Ident
        What the update says of itself.

    Returns
    -------
    DataSet
        The cell with it.
    int
        How many records changed whose versions do not follow one another.

    Raises
    ------
    UnreadableFile
        For an update that is damaged, or changes what is not there; it names the record.
    """
    vectors, features = dict(data.vectors), dict(data.features)
    out_of_step = 0
    for change in changes(body, ident):
        if isinstance(change, Parameters):
            continue
        if isinstance(change.made, Vector):
            old = vectors.get(change.key)
            out_of_step += _out_of_step(change, old)
            new = _changed_vector(change, old)
            if new is None:
                del vectors[change.key]
            else:
                vectors[change.key] = new
            continue
        number = change.key[1]
        was = features.get(number)
        out_of_step += _out_of_step(change, was)
        now = _changed_feature(change, was)
        if now is None:
            del features[number]
        else:
            features[number] = now
    made = DataSet(ident=ident, parameters=data.parameters, vectors=vectors, features=features)
    return made, out_of_step


def _out_of_step(change: Change, old: Vector | Feature | None) -> int:
    """Return 1 for a change whose version does not follow the one it changes."""
    if change.what == INSERT and old is not None:
        raise change.record.damage(f"it inserts {change.key}, which is there already")
    if change.what != INSERT and old is None:
        raise change.record.damage(f"it changes {change.key}, which is not there")
    return int(old is not None and change.version != old.version + 1)


def _changed_vector(change: Change, old: Vector | None) -> Vector | None:
    """Return a vector as it is after a change, None for one that was deleted."""
    made = change.made
    assert isinstance(made, Vector)  # noqa: S101  what the caller has looked at
    if change.what != MODIFY or old is None:
        return None if change.what == DELETE else made
    places, deep_places = old.places, old.deep_places
    if made.places and made.deep_places:
        raise change.record.damage("it changes positions and soundings at once")
    if deep_places or made.deep_places:
        deep_places = _spliced(deep_places, DEEP_PLACE, change.cut_places, made.deep_places, change)
    else:
        places = _spliced(places, PLACE, change.cut_places, made.places, change)
    return Vector(
        change.version,
        _merged(old.attributes, made.attributes),
        _spliced(old.pointers, VECTOR_POINTER, change.cut, made.pointers, change),
        places,
        deep_places,
    )


def _changed_feature(change: Change, old: Feature | None) -> Feature | None:
    """Return an object as it is after a change, None for one that was deleted."""
    made = change.made
    assert isinstance(made, Feature)  # noqa: S101  what the caller has looked at
    if change.what == DELETE:
        return None
    if change.what == INSERT or old is None:
        return made
    if (old.object_id, old.class_code) != (made.object_id, made.class_code):
        raise change.record.damage(f"it changes {made.object_id}, and {old.object_id} is there")
    return old._replace(
        version=change.version,
        attributes=_merged(old.attributes, made.attributes),
        pointers=_spliced(old.pointers, POINTER, change.cut, made.pointers, change),
    )


def _merged(old: Texts, new: Texts) -> Texts:
    """Return attributes with those of an update; one that was struck out is gone."""
    return {code: text for code, text in {**old, **new}.items() if text != STRUCK_OUT}


def _spliced(
    body: bytes, size: int, cut: tuple[int, int, int] | None, new: bytes, change: Change
) -> bytes:
    """Return a list of units of one size with what an instruction does to it."""
    if cut is None:
        if new:
            raise change.record.damage("it brings parts and does not say what to do with them")
        return body
    what, index, count = cut
    before, after = (index - 1) * size, (index - 1 + count) * size
    held = len(body) // size
    known = what in (INSERT, DELETE, MODIFY)
    inside = index >= 1 and (before <= len(body) if what == INSERT else after <= len(body))
    if not known or not inside:
        raise change.record.damage(
            f"instruction {what} is for {count} parts from {index}; {held} are there"
        )
    if what != DELETE and len(new) != count * size:
        raise change.record.damage(f"it brings {len(new) // size} parts and says {count}")
    if what == INSERT:
        return body[:before] + new + body[before:]
    return body[:before] + (b"" if what == DELETE else new) + body[after:]
