"""The words that every table and sheet carries."""

HONEST_NOTE = (
    "computed estimates for planning; trim and verify by measurement; follow local rules and qualified advice"
)
POWER_LINE_CAUTION = "overhead power lines kill: keep everything that can fall, swing or be raised well out of their reach"


def made_with(versions: dict[str, str]) -> str:
    """Which solver and ground treatment the figures come from."""
    return f"lotwire {versions['program']}, field solver {versions['solver']}, ground: {versions['ground']}"
