"""What is checked for this operation, one rule with its text, and its confirmation."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from farmrecords.book.correcting import voided
from farmrecords.book.forms import day_input, plain_helper, sent
from farmrecords.book.revisions import revision_of
from farmrecords.book.sending import Sending, sent_once
from farmrecords.book.views.entry import ReasonForm
from farmrecords.findings.confirming import confirmations_of, is_to_confirm, new_confirmation
from farmrecords.findings.coverage import covered
from farmrecords.findings.models import RuleConfirmation
from farmrecords.findings.permit_layer import layers, own_rules, rulebook_of
from farmrecords.findings.rulebooks import confirmed_rules, noted_rulebooks, noted_texts
from farmrecords.people.access import Seat, record, seated
from farmrecords.people.plain_errors import PlainForm
from farmrecords.rules.model import Rule


@seated("see")
def coverage(request: HttpRequest, seat: Seat) -> HttpResponse:
    """What is checked here, and what is not: from each jurisdiction's declared coverage."""
    stack = seat.operation.stack_on(seat.today)
    book = rulebook_of(seat.operation)
    own = layers(own_rules(seat.operation), None, seat.today)
    context = {
        "covered": covered(book, stack, own, seat.today, confirmed_rules(seat.operation)),
        "fingerprint": book.fingerprint,
        "noted": noted_rulebooks(seat.operation)[::-1] if seat.may("see_whole_log") else [],
        "may_confirm": seat.may("confirm_rule"),
        "may_see_permit": seat.may("see_permit"),
        "may_try": seat.may("try_draft_rules"),
    }
    return render(request, "book/coverage.html", context)


@seated("see")
def rule(request: HttpRequest, seat: Seat, rule_id: str) -> HttpResponse:
    """One rule: citation, status of its source, dated values, and its file's text."""
    found = _rule(seat, rule_id)
    held = confirmations_of(seat.operation, found) if seat.may("see_whole_log") else []
    context = {
        "rule": found,
        "values": found.values,
        "confirmed": found.fingerprint in confirmed_rules(seat.operation),
        "confirmations": held,
        "may_confirm": seat.may("confirm_rule") and is_to_confirm(found),
    }
    return render(request, "book/rule.html", context)


def _rule(seat: Seat, rule_id: str) -> Rule:
    try:
        return rulebook_of(seat.operation).rule(rule_id)
    except KeyError as error:
        raise Http404 from error


@seated("see_whole_log")
def rules_text(request: HttpRequest, seat: Seat, fingerprint: str) -> HttpResponse:
    """The rule files as they stood under a fingerprint that this operation was judged by."""
    texts = noted_texts(seat.operation, fingerprint)
    if texts is None:
        raise Http404
    context = {"fingerprint": fingerprint, "texts": sorted(texts.items())}
    return render(request, "book/rules_text.html", context)


class ConfirmForm(PlainForm):
    """Which official text the rule was held against, and on which day."""

    document = forms.CharField(
        label=gettext_lazy("Official text it was held against"),
        help_text=gettext_lazy("Name, edition or address, and where it was read."),
        max_length=250,
        widget=forms.TextInput,
    )
    confirmed_on = forms.DateField(label=gettext_lazy("Held against it on"), widget=day_input())

    def __init__(self, *args: Any, today: dt.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.helper = plain_helper()

    def clean_confirmed_on(self) -> dt.date:
        day: dt.date = self.cleaned_data["confirmed_on"]
        if day > self.today:
            raise ValidationError(
                _("%(day)s has not come yet; today is %(today)s. Check the day.")
                % {"day": day, "today": self.today}
            )
        return day


@seated("confirm_rule")
@sent_once
def confirm_rule(request: HttpRequest, seat: Seat, rule_id: str) -> HttpResponse:
    """Record that somebody held the rule's text against the official one."""
    found = _rule(seat, rule_id)
    if not is_to_confirm(found):
        raise Http404
    form = ConfirmForm(sent(request), today=seat.today, initial={"confirmed_on": seat.today})
    page = reverse("rule", args=[seat.operation.slug, rule_id])
    sending = Sending(request, seat, lambda _confirmation: page)
    shown = request.POST.get("fingerprint", "") if form.is_bound else found.fingerprint
    if sending.is_due(form):
        if shown != found.fingerprint:
            form.add_error(
                None,
                _("The rule's text is another one than when the page was opened. Read it again."),
            )
            shown = found.fingerprint
        else:
            said = form.cleaned_data
            new = new_confirmation(seat, found, said["document"], said["confirmed_on"])
            with sending.change("web") as change:
                change.create(new, reason_code="entry")
            messages.success(request, _("The rule is confirmed; its findings now stand firm."))
            return redirect(page)
    context = {"rule": found, "form": form, "fingerprint": shown, "sending": sending}
    return render(request, "book/confirm_rule.html", context)


@seated("confirm_rule")
def void_confirmation(request: HttpRequest, seat: Seat, pk: uuid.UUID) -> HttpResponse:
    """Take a confirmation back with a reason."""
    found = record(seat, RuleConfirmation, pk)
    if found.voided:
        raise Http404
    reason = ReasonForm(sent(request))
    done, shown = voided(request, seat, found, reason)
    if done:
        messages.success(request, _("The confirmation is taken back."))
        return redirect("coverage", op=seat.operation.slug)
    context = {"confirmation": found, "reason": reason, "rev": revision_of(request, found)}
    return render(request, "book/void_confirmation.html", context | shown)
