"""`{% kept page "fit" part.pk may_decide %} … {% endkept %}`: a piece of a page that is drawn once."""

from __future__ import annotations

from collections.abc import Sequence

from django import template
from django.template.base import FilterExpression, NodeList, Parser, Token
from django.template.context import Context
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from qualification.records.cache import Remembered

register = template.Library()


class KeptNode(template.Node):
    """What stands between the tags, for the owner, the name and everything else the piece turns on."""

    def __init__(self, owner: FilterExpression, asked: Sequence[FilterExpression], inner: NodeList) -> None:
        self.owner, self.asked, self.nodelist = owner, asked, inner

    def render(self, context: Context) -> SafeString:
        drawn: Remembered[SafeString] = self.owner.resolve(context).drawn
        key = (get_language(), *(each.resolve(context) for each in self.asked))
        return drawn.of(key, lambda: mark_safe(self.nodelist.render(context)))  # noqa: S308  drawn by templates


@register.tag
def kept(parser: Parser, token: Token) -> KeptNode:
    """Keep what stands between in `drawn` of the first argument, by all the others and the reader's language.
    Nothing between may turn on anything else: no form, since each carries a token of its reader's session."""
    _, owner, *asked = token.split_contents()
    if not asked:
        raise template.TemplateSyntaxError("kept needs what keeps the piece, and a name for it")
    inner = parser.parse(("endkept",))
    parser.delete_first_token()
    return KeptNode(parser.compile_filter(owner), [parser.compile_filter(each) for each in asked], inner)
