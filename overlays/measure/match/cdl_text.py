"""The files of a CDL: one correction (.cc), or a list of one decision (.cdl), in XML.

ASC CDL version 1.2 (American Society of Cinematographers; the names of elements from memory,
checked against an independent implementation in the tests).
"""

from overlays.measure.match.cdl import Cdl, Three

NAMESPACE = "urn:ASC:CDL:v1.2"
_ESCAPED = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})
"""What stands for markup in text (W3C XML 1.0, 2.4); the library's own brings all of HTTP along."""


def _numbers(three: Three) -> str:
    return " ".join(f"{number:.6f}" for number in three)


def correction_xml(cdl: Cdl, name: str, description: str, signal: str, indent: str = "") -> str:
    """The ColorCorrection element of a CDL.

    Parameters
    ----------
    cdl:
        Its ten numbers.
    name, description:
        Its id, and what it is for.
    signal:
        In which signal its numbers are meant.
    indent:
        Before every line.

    Returns
    -------
    str
        Lines of XML, without a head.

    Examples
    --------
    >>> correction_xml(Cdl(), "b", "camera B to camera A", "V-Log").splitlines()[4].strip()
    '<Slope>1.000000 1.000000 1.000000</Slope>'
    """
    lines = (
        f'<ColorCorrection id="{name.translate(_ESCAPED)}">',
        f"  <Description>{description.translate(_ESCAPED)}</Description>",
        f"  <InputDescription>{signal.translate(_ESCAPED)}</InputDescription>",
        "  <SOPNode>",
        f"    <Slope>{_numbers(cdl.slope)}</Slope>",
        f"    <Offset>{_numbers(cdl.offset)}</Offset>",
        f"    <Power>{_numbers(cdl.power)}</Power>",
        "  </SOPNode>",
        "  <SatNode>",
        f"    <Saturation>{cdl.saturation:.6f}</Saturation>",
        "  </SatNode>",
        "</ColorCorrection>",
    )
    return "\n".join(indent + line for line in lines)


_HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'


def cc_text(cdl: Cdl, name: str, description: str, signal: str) -> str:
    """A whole .cc file: one ColorCorrection.

    Parameters
    ----------
    cdl:
        What it holds.
    name:
        Its id.
    description:
        What it is for.
    signal:
        In which signal its numbers are meant.

    Returns
    -------
    str
        XML, with its declaration.

    Examples
    --------
    >>> cc_text(Cdl(), "b", "camera B to camera A", "V-Log").splitlines()[1]
    '<ColorCorrection xmlns="urn:ASC:CDL:v1.2" id="b">'
    """
    body = correction_xml(cdl, name, description, signal)
    return (
        _HEAD + body.replace("<ColorCorrection ", f'<ColorCorrection xmlns="{NAMESPACE}" ') + "\n"
    )


def cdl_text(cdl: Cdl, name: str, description: str, signal: str) -> str:
    """A whole .cdl file: a ColorDecisionList with one decision.

    Parameters
    ----------
    cdl, name, description, signal:
        As `cc_text` takes them.

    Returns
    -------
    str
        XML, with its declaration.

    Examples
    --------
    >>> cdl_text(Cdl(), "b", "camera B to camera A", "V-Log").splitlines()[1]
    '<ColorDecisionList xmlns="urn:ASC:CDL:v1.2">'
    """
    body = correction_xml(cdl, name, description, signal, indent="    ")
    return (
        f'{_HEAD}<ColorDecisionList xmlns="{NAMESPACE}">\n  <ColorDecision>\n{body}\n'
        "  </ColorDecision>\n</ColorDecisionList>\n"
    )
