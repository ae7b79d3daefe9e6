"""Commands that no reference recomputes, each with its reason. Anything else without one fails the check."""

LIBRARY = "reads the library, works nothing out"
RECORD = "keeps the record, works nothing out; what it judges is judged by the sums here"
REPEATS = "works on readings kept over time: held in tests/worked/repeats.rs"
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
    "job sign": RECORD,
    "job temp": RECORD,
    "log": RECORD,
    "paste": RECORD,
    "photo": RECORD,
    "remedy": RECORD,
    "amend": RECORD,
    "next": RECORD,
    "review queue": RECORD,
    "review accept": RECORD,
    "review return": RECORD,
    "review show": RECORD,
    "review matrix": RECORD,
    "digest": RECORD,
    "instrument add": RECORD,
    "instrument list": RECORD,
    "instrument show": RECORD,
    "instrument calibrated": RECORD,
    "instrument retire": RECORD,
    "instrument check": RECORD,
    "instrument drift": REPEATS,
    "instrument spread": REPEATS,
    "sheet": RECORD,
}
