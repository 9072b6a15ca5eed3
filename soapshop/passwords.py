"""What a password must be, in sentences that say the mend, and passwords made up here for somebody's first sign-in."""

import secrets

from django.contrib.auth import password_validation

# Letters that are told apart by ear and by eye, so that a password can be read out across the bench.
CONSONANTS = "bdfghkmnprstvz"
VOWELS = "aeiou"
# 14 × 5 × 14 × 5 × 14 words of this build: four of them hold 64 bits of chance.
WORD = (CONSONANTS, VOWELS, CONSONANTS, VOWELS, CONSONANTS)
WORDS = 4


def made_up_password() -> str:
    """Return four words that nobody has used before, such as "tonab-gupiv-rizes-kodum"."""
    return "-".join("".join(secrets.choice(letters) for letters in WORD) for _ in range(WORDS))


class UnlikeThePerson(password_validation.UserAttributeSimilarityValidator):
    def get_error_message(self) -> str:
        return "This password is too close to your own name. Choose one that has nothing to do with you."

    def get_help_text(self) -> str:
        return "Nothing close to your own name."


class LongEnough(password_validation.MinimumLengthValidator):
    def get_error_message(self) -> str:
        return f"This password is too short. Take at least {self.min_length} characters, such as three words."

    def get_help_text(self) -> str:
        return f"At least {self.min_length} characters; three words do well."


class Uncommon(password_validation.CommonPasswordValidator):
    def get_error_message(self) -> str:
        return "This password stands on lists that guessers use. Choose another."

    def get_help_text(self) -> str:
        return "None that many people use."


class NotOnlyDigits(password_validation.NumericPasswordValidator):
    def get_error_message(self) -> str:
        return "This password has digits only. Add letters."

    def get_help_text(self) -> str:
        return "Not digits alone."
