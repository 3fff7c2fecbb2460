"""Addresses of accounts: in, out, the first account, one's own page, invitations, keeping accounts."""

from django.urls import path

from ropewright.web.accounts.views import joining, keeping, own, signing

app_name = "accounts"
urlpatterns = [
    path("sign-in/", signing.sign_in, name="sign-in"),
    path("sign-out/", signing.sign_out, name="sign-out"),
    path("first/", signing.first, name="first"),
    path("join/<str:secret>/", joining.join, name="join"),
    path("new-password/<str:secret>/", joining.new_password, name="new-password"),
    path("me/", own.me, name="me"),
    path("me/password/", own.password, name="password"),
    path("me/sign-out-everywhere/", own.leave_everywhere, name="leave-everywhere"),
    path("accounts/", keeping.accounts, name="accounts"),
    path("accounts/<int:account>/", keeping.account, name="account"),
    path("accounts/<int:account>/role/", keeping.role, name="role"),
    path("accounts/<int:account>/active/", keeping.active, name="active"),
    path("accounts/<int:account>/person/", keeping.person, name="person"),
    path("accounts/<int:account>/reset/", keeping.reset, name="reset"),
    path("invitations/", keeping.invitations, name="invitations"),
    path("invitations/new/", keeping.invite, name="invite"),
    path("invitations/<int:invitation>/withdraw/", keeping.withdraw, name="withdraw"),
]
