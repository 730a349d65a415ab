"""The addresses of the wire."""

from django.urls import path
from drf_spectacular.views import SpectacularAPIView
from rest_framework.permissions import AllowAny

from barnbook.api import resources
from barnbook.api.changes import ChangesView
from barnbook.api.customers import CustomersView, CustomerView
from barnbook.api.documents import CalendarLinkView, CalendarView, CsvView, WorkbookView, public_calendar
from barnbook.api.house_state import HouseView
from barnbook.api.line_sheets import SheetLinkView, SheetView, public_sheet, sheet_schema
from barnbook.api.notebook import NotebookView
from barnbook.api.public_address_views import PublicAddressView
from barnbook.api.push import PushView
from barnbook.api.report_links import LinkView, RemarkView
from barnbook.api.report_page import look, report_page
from barnbook.api.sign_in import SignInView, SignOutView

routes = [
    path("api/house", HouseView.as_view()),
    path("api/sign-in", SignInView.as_view()),
    path("api/sign-out", SignOutView.as_view()),
    path("api/push", PushView.as_view()),
    path("api/changes", ChangesView.as_view()),
    path("api/lines", resources.LinesView.as_view()),
    path("api/cages", resources.CagesView.as_view()),
    path("api/broods", resources.BroodsView.as_view()),
    path("api/birds", resources.BirdsView.as_view()),
    path("api/settings", resources.SettingsView.as_view()),
    path("api/trays", resources.TraysView.as_view()),
    path("api/withdrawals", resources.WithdrawalsView.as_view()),
    path("api/weighings", resources.WeighingsView.as_view()),
    path("api/entries", resources.EntriesView.as_view()),
    path("api/orders", resources.OrdersView.as_view()),
    path("api/shipments", resources.ShipmentsView.as_view()),
    path("api/egg-store", resources.EggStoreView.as_view()),
    path("api/figures", resources.FiguresView.as_view()),
    path("api/notebook", NotebookView.as_view()),
    path("api/book.xlsx", WorkbookView.as_view()),
    path("api/book-csv.zip", CsvView.as_view()),
    path("api/due.ics", CalendarView.as_view()),
    path("api/calendar-link", CalendarLinkView.as_view()),
    path("calendar/<str:token>.ics", public_calendar),
    path("api/customers", CustomersView.as_view()),
    path("api/customers/<uuid:customer>", CustomerView.as_view()),
    path("api/public-address", PublicAddressView.as_view()),
    path("api/shipments/<uuid:shipment>/link", LinkView.as_view()),
    path("api/shipments/<uuid:shipment>/remark", RemarkView.as_view()),
    path("api/lines/<uuid:line>/sheet-link", SheetLinkView.as_view()),
    path("api/lines/<uuid:line>/sheet.<str:form>", SheetView.as_view()),
    path("api/schema", SpectacularAPIView.as_view(permission_classes=[AllowAny], authentication_classes=[])),
    path("sheet/schema.json", sheet_schema),
    path("sheet/<str:token>", public_sheet),
    path("sheet/<str:token>/sheet.<str:form>", public_sheet),
    path("report/look.css", look),
    path("report/<str:secret>", report_page),
]
