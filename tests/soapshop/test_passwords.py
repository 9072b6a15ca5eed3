from soapshop.passwords import made_up_password


def test_made_up_passwords_are_four_words_of_five_letters_and_never_twice_the_same():
    made = [made_up_password() for _ in range(200)]
    assert len(set(made)) == 200
    assert {tuple(len(word) for word in password.split("-")) for password in made} == {(5, 5, 5, 5)}
