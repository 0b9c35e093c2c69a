"""Sign in, sign out, choose the operation."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation

from farmrecords.people.access import seats_of


class SignIn(LoginView):
    """The sign-in page; afterwards the pages speak the person's language."""

    template_name = "people/sign_in.html"
    authentication_form = AuthenticationForm
    redirect_authenticated_user = True

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        response = super().form_valid(form)
        language = form.get_user().language
        if translation.check_for_language(language):
            response.set_cookie(settings.LANGUAGE_COOKIE_NAME, language, samesite="Lax")
        return response


@login_required
def home(request: HttpRequest) -> HttpResponse:
    """The operations this person may enter; the only one is entered at once."""
    seats = seats_of(request.user)  # type: ignore[arg-type]
    if len(seats) == 1:
        return redirect("start", op=seats[0].operation.slug)
    return render(request, "people/home.html", {"seats": seats})
