"""The error of a rule file: where, what was given, what was expected, what to do."""


class RuleFileError(ValueError):
    """A rule file that cannot be read as it stands.

    >>> str(RuleFileError("us/a.toml", "rule 1, from", "nothing is given", "write a day"))
    'us/a.toml: rule 1, from: nothing is given; write a day.'
    """

    def __init__(self, path: str, key: str, wrong: str, remedy: str) -> None:
        self.path, self.key, self.wrong, self.remedy = path, key, wrong, remedy
        super().__init__(f"{path}: {key}: {wrong}; {remedy}.")
