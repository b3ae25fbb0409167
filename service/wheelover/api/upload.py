"""Reading one uploaded file, with every way it can go wrong named."""

from dataclasses import dataclass

from fastapi import Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from wheelover.api.problems import DoorError
from wheelover.core.errors import Fault, InvalidInput

FIELD = "file"


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
    media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if media_type != "multipart/form-data":
        raise DoorError(
            415, "wrong-content-type", "Send the file as multipart/form-data, in the field `file`."
        )
    try:
        form = await request.form(max_files=8, max_fields=8)
    except HTTPException as error:
        raise DoorError(422, "damaged-form", f"The form cannot be read: {error.detail}") from error
    try:
        files = [one for one in form.getlist(FIELD) if isinstance(one, UploadFile)]
        if len(files) != 1:
            message = f"one file is needed in the field `{FIELD}`; {len(files)} came"
            raise InvalidInput(message, (Fault(pointer=f"/{FIELD}", message=message),))
        return Upload(body=await files[0].read(), name=files[0].filename or "")
    finally:
        await form.close()
