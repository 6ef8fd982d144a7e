"""What to do: the missing fact, the reading worth most per minute, and priced options for work."""

from inchwater.planning.candidates import Candidate
from inchwater.planning.next_fact import READ_AGAIN, NextAct, next_act
from inchwater.planning.next_reading import ReadingValue, money, next_reading
from inchwater.planning.offers import Frontier, Offer, options
from inchwater.planning.price_book import Price, PriceBook, book_from_csv, price_book
from inchwater.planning.prices import Prices, usual_prices
from inchwater.planning.proposals import Proposal, proposals
from inchwater.planning.search import Progress
from inchwater.planning.usual_changes import Option, usual_changes

__all__ = [
    "READ_AGAIN",
    "Candidate",
    "Frontier",
    "NextAct",
    "Offer",
    "Option",
    "Price",
    "PriceBook",
    "Prices",
    "Progress",
    "Proposal",
    "ReadingValue",
    "book_from_csv",
    "money",
    "next_act",
    "next_reading",
    "options",
    "price_book",
    "proposals",
    "usual_changes",
    "usual_prices",
]
