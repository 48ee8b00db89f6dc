from dataclasses import replace

from overlays.draw.moment.news import News, said_of


def test_a_moment_is_news_once():
    news = News()
    assert news.is_new((1, "one"))
    assert not news.is_new((1, "one"))
    assert news.is_new((2, "one"))
    news.forget()
    assert news.is_new((2, "one"))


def test_readings_are_told_apart_by_identity(shown):
    moment = shown()
    news = News()
    assert news.is_new(said_of(moment))
    assert not news.is_new(said_of(replace(moment)))
    again = replace(moment.measured, spot=replace(moment.measured.spot))
    assert news.is_new(said_of(replace(moment, measured=again)))


def test_what_is_not_believed_says_nothing_of_its_frame(shown):
    moment = shown()
    from_frame = (moment.measured.spot, moment.measured.range)
    stale = said_of(replace(moment, face=type(moment.face).STALE))
    assert not any(one is other for one in stale for other in from_frame)
