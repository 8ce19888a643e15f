"""Canonical JSON as RFC 8785 (June 2020) has it: sections 3.2.2 and 3.2.3, Appendix B.

The examples were written down from memory of the document, not copied from it; the library under test was made by
others from the document itself, so that a slip of memory would show as a failure here.
"""

from __future__ import annotations

import json
import struct

import pytest

from ropewright.store.canonical import json_text

EXAMPLE = r"""
{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}
"""
EXPECTED = (
    r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
    r'"string":"€$\u000f\nA' + r"'" + r'B\"\\\\\"/"}'
)

#: Appendix B: bits of a double, and its text.
NUMBERS = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


def double(bits: str) -> float:
    value: float = struct.unpack(">d", bytes.fromhex(bits))[0]
    return value


def test_the_example_of_section_3_2_2() -> None:
    assert json_text(json.loads(EXAMPLE)) == EXPECTED


def test_keys_are_ordered_by_utf_16_as_in_section_3_2_3() -> None:
    keys = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]
    assert list(json.loads(json_text(dict.fromkeys(keys, 0)))) == [
        *("\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33")
    ]


@pytest.mark.parametrize(("bits", "text"), NUMBERS.items(), ids=NUMBERS.values())
def test_numbers_are_written_as_in_appendix_b(bits: str, text: str) -> None:
    assert json_text(double(bits)) == text


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000", "fff0000000000000"])
def test_what_is_no_finite_number_is_refused_as_in_appendix_b(bits: str) -> None:
    with pytest.raises(ValueError, match="not representable"):
        json_text(double(bits))
