#define GETTEXT_PACKAGE "libexif-12"
#define LOCALEDIR ""
