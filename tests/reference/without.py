"""Commands that no reference recomputes, each with its reason. Anything else without one fails the check."""

LIBRARY = "reads the library, works nothing out"
RECORD = "keeps the record, works nothing out; what it judges is judged by the sums here"
LAYOUT = "places and directions, angles as typed or on the page: held in tests/worked/orientation.rs"

WITHOUT = {
    "ask": LIBRARY,
    "page": LIBRARY,
    "procedure": LIBRARY,
    "word": LIBRARY,
    "limits": LIBRARY,
    "orient": LAYOUT,
    "clock show": LAYOUT,
    "clock check": LAYOUT,
    "job open": RECORD,
    "job list": RECORD,
    "job show": RECORD,
    "job take": RECORD,
    "job limit": RECORD,
    "job close": RECORD,
    "log": RECORD,
    "amend": RECORD,
    "next": RECORD,
    "review queue": RECORD,
    "review accept": RECORD,
    "review return": RECORD,
    "sheet": RECORD,
}
