from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.urls import path, reverse_lazy

from specapp.core import forms, views

app_name = "core"

urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", login_not_required(auth_views.LogoutView.as_view()), name="sign-out"),
    path(
        "password/",
        auth_views.PasswordChangeView.as_view(
            template_name="core/password.html",
            form_class=forms.PasswordForm,
            success_url=reverse_lazy("core:password-changed"),
        ),
        name="password-change",
    ),
    path("password/changed/", views.password_changed, name="password-changed"),
]
