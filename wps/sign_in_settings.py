"""The part of the settings about signing in: passwords, and how guessing at them is stopped."""

from datetime import timedelta

PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign_in"

AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
# Failed sign-ins are counted by name and address together, so that nobody locks a colleague out from another
# device. A server in front tells the true address (`wps/serving/ways.py`). The lock ends by itself; whoever
# is signed in already notices nothing.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_DISABLE_ACCESS_LOG = True
AXES_ENABLE_ADMIN = False
AXES_VERBOSE = False
AXES_LOCKOUT_CALLABLE = "qualification.views.sign_in.locked_out"

# Addresses that open something without a sign-in are secrets, and stay out of the log.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "filters": {"without_secrets": {"()": "wps.log_secrets.WithoutSecrets"}},
    "loggers": {"django.request": {"filters": ["without_secrets"]}},
}
