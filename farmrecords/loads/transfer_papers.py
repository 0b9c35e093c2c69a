"""What a transfer still lacks before its papers are whole; an incomplete one is kept and says so.

The analysis goes with the manure: the receiver has it no later than the day of the transfer
(40 CFR 122.42(e)(3)), and no analysis can be handed over before its sample was taken.
"""

from __future__ import annotations

from django.utils.translation import gettext as _

from farmrecords.loads.models import Transfer


def missing_papers(transfer: Transfer) -> list[str]:
    """What is missing or out of order, in words; none when the papers are whole."""
    out = transfer.direction == "out"
    missing = []
    if not transfer.receiver_name.strip():
        missing.append(_("the name of the receiver") if out else _("the name of the giver"))
    if not transfer.receiver_address.strip():
        missing.append(_("the address of the receiver") if out else _("the address of the giver"))
    if transfer.test is None:
        missing.append(_("the manure test that was handed over"))
    given = transfer.analysis_given_on
    if given is None:
        missing.append(_("the day the analysis was handed over"))
        return missing
    if given > transfer.moved_on:
        missing.append(
            _("the analysis in time: it was handed over on %(given)s, after the manure left")
            % {"given": given}
            if out
            else _("the analysis in time: it came on %(given)s, after the manure")
            % {"given": given}
        )
    if transfer.test and transfer.test.sampled_on > given:
        missing.append(
            _("an analysis that stood then: the sample is of %(sampled)s, after %(given)s")
            % {"sampled": transfer.test.sampled_on, "given": given}
        )
    return missing
