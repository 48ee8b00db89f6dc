"""The whole text of profiles as they were when they came into use."""

from dataclasses import replace

from firmware.errors import JournalError, ProfileError
from firmware.journal.inputs import profile_of
from firmware.profiles.made import Made, made_text
from firmware.profiles.model import Profile


class ProfileTexts:
    """Texts by profile: a file is read when its profile comes into use, and may be changed later.

    Belongs to one thread.
    """

    def __init__(self) -> None:
        self._known: dict[int, tuple[Profile, str | JournalError]] = {}

    def see(self, profile: Profile) -> None:
        """A profile is in use."""
        found = self._known.get(id(profile))
        if found is not None and found[0] is profile:
            return
        try:
            text: str | JournalError = profile_text(profile)
        except JournalError as fault:
            text = fault
        self._known[id(profile)] = (profile, text)

    def text(self, profile: Profile) -> str:
        """Its text.

        Raises
        ------
        JournalError
            Its file said something else when it came into use, or could not be read.
        """
        self.see(profile)
        text = self._known[id(profile)][1]
        if isinstance(text, JournalError):
            raise text
        return text


def profile_text(profile: Profile) -> str:
    """The whole text of a profile as it is in use.

    Raises
    ------
    JournalError
        Its file says something else by now, or is gone.
    """
    if profile.source_path is None:
        return made_text(
            Made(
                profile.title,
                profile.notes,
                profile.curve.name,
                profile.laid,
                profile.override,
                profile.clip,
                profile.floor,
                profile.stripes,
            )
        )
    path = profile.source_path
    try:
        text = path.read_bytes().decode("utf-8-sig")
        same = replace(profile_of(text, profile.name), source_path=path)
    except (OSError, UnicodeDecodeError, ProfileError, JournalError) as fault:
        raise JournalError(f"{path}: the profile in use cannot be read any more") from fault
    if replace(same, stripes=profile.stripes) != profile:
        raise JournalError(
            f"{path}: the profile was changed since it was taken up; step to another and back, or "
            "start again"
        )
    return text
