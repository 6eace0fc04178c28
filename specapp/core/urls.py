from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_not_required
from django.urls import path

from specapp.core.views import account, passwords, people, sign_in

app_name = "core"

urlpatterns = [
    path("sign-in/", sign_in.SignIn.as_view(), name="sign-in"),
    path("sign-out/", login_not_required(auth_views.LogoutView.as_view()), name="sign-out"),
    path("account/", account.account, name="account"),
    path("account/sessions/", account.sessions_end_others, name="sessions-end"),
    path("password/", account.password_change, name="password-change"),
    path("password/forgotten/", passwords.password_forgotten, name="password-forgotten"),
    path("password/link/<str:token>/", passwords.password_by_link, name="password-link"),
    path("people/", people.people_list, name="people-list"),
    path("people/new/", people.person_new, name="person-new"),
    path("people/<id:person_id>/", people.person_show, name="person-show"),
    path("record/", people.record, name="record"),
]
