"""Contingencies in requests."""

from wheelover.api.schemas.route import RouteIn
from wheelover.api.schemas.strict import Strict, Word
from wheelover.api.schemas.words import LongWords
from wheelover.core.errors import Fault, InvalidRoute
from wheelover.core.types.contingency import Contingency, ContingencyKind


class ContingencyIn(Strict):
    """A route of its own for when the plan is given up; it is checked like the main one.

    ``from_id`` names the leg from which she leaves, by the waypoint that the leg leads to.
    """

    id: Word
    kind: ContingencyKind
    from_id: Word
    route: RouteIn
    remark: LongWords | None = None

    def to_core(self, index: int) -> Contingency:
        """Return it as the core takes it.

        Parameters
        ----------
        index : int
            Its place in the list, for what is said of a fault.

        Raises
        ------
        InvalidRoute
            When no plan can be made of its route.
        """
        try:
            route = self.route.to_core()
        except InvalidRoute as error:
            faults = tuple(
                Fault(pointer=f"/contingencies/{index}{one.pointer}", message=one.message)
                for one in error.faults
            )
            raise InvalidRoute(str(error), faults) from error
        return Contingency(
            id=self.id, kind=self.kind, from_id=self.from_id, route=route, remark=self.remark
        )
