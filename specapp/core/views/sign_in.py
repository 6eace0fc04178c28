"""Signing in."""

from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.views import LoginView
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.views.decorators.debug import sensitive_post_parameters

from specapp.core.forms import SignInForm
from specapp.core.interrupted import SESSION_KEY
from specapp.core.limits import wait_in_words
from specapp.core.models import User
from specapp.core.sign_in import browser_remember, sign_in_failed, sign_in_succeeded, sign_in_wait


@method_decorator(login_not_required, name="dispatch")
@method_decorator(sensitive_post_parameters("password"), name="dispatch")
class SignIn(LoginView):
    template_name = "core/sign_in.html"
    form_class = SignInForm
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs):
        return super().get_context_data(
            **kwargs,
            has_kept_form=SESSION_KEY in self.request.session,
            nobody_yet=not User.objects.exists(),
        )

    def post(self, request, *args, **kwargs):
        typed = request.POST.get("username", "")
        if wait := sign_in_wait(request, typed, timezone.now()):
            form = self.form_class(request, initial={"username": typed})
            context = self.get_context_data(form=form, wait=wait_in_words(wait))
            response = self.render_to_response(context, status=429)
            response.headers["Retry-After"] = str(wait)
            return response
        return super().post(request, *args, **kwargs)

    def form_valid(self, form):
        person = form.get_user()
        sign_in_succeeded(self.request, form.cleaned_data["username"], person)
        response = super().form_valid(form)
        browser_remember(self.request, response, person)
        return response

    def form_invalid(self, form):
        sign_in_failed(self.request, self.request.POST.get("username", ""))
        return super().form_invalid(form)
