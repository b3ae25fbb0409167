"""Reading uploaded files, with every way it can go wrong named."""

from dataclasses import dataclass

from fastapi import Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from wheelover.api.problems import DoorError
from wheelover.core.errors import Fault, InvalidInput

FIELD = "file"
MOST_FILES = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Upload:
    """A file as it came: its name is only a name."""

    body: bytes
    name: str


async def uploaded_file(request: Request) -> Upload:
    """Return the file of a multipart form.

    Raises
    ------
    DoorError
        With 415 for a body of another type, 422 for a form that is damaged.
    InvalidInput
        When the form has no file in its field, or more than one.
    """
    files = await _files(request, most_count=8)
    if len(files) != 1:
        message = f"one file is needed in the field `{FIELD}`; {len(files)} came"
        raise InvalidInput(message, (Fault(pointer=f"/{FIELD}", message=message),))
    return files[0]


async def uploaded_files(request: Request) -> list[Upload]:
    """Return the files of a multipart form, one at least.

    Raises
    ------
    DoorError
        With 415 for a body of another type, 422 for a form that is damaged.
    InvalidInput
        When the form has no file in its field.
    """
    files = await _files(request, most_count=MOST_FILES)
    if not files:
        message = f"a file is needed in the field `{FIELD}`"
        raise InvalidInput(message, (Fault(pointer=f"/{FIELD}", message=message),))
    return files


async def _files(request: Request, most_count: int) -> list[Upload]:
    """Return the files in the field of a form."""
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != "multipart/form-data":
        raise DoorError(
            415, "wrong-content-type", "Send the file as multipart/form-data, in the field `file`."
        )
    try:
        form = await request.form(max_files=most_count, max_fields=8)
    except HTTPException as error:
        raise DoorError(422, "damaged-form", f"The form cannot be read: {error.detail}") from error
    try:
        files = [one for one in form.getlist(FIELD) if isinstance(one, UploadFile)]
        return [Upload(body=await one.read(), name=one.filename or "") for one in files]
    finally:
        await form.close()
